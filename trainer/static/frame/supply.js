// Fetches pictures and their tiles. The server makes them on request and may ask to come again in a moment.

const AT_ONCE = 2;
const TRIES = 60;

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** A line of requests, two at a time; the newest wishes go first. */
export class Supply {
  constructor(tell) {
    this.tell = tell;
    this.waiting = [];
    this.going = 0;
    this.asked = new Map();
    this.closed = false;
  }

  /**
   * The decoded picture at an address. Whoever asks while it is on its way gets the same one, and closes it when it is
   * drawn; afterwards the browser's own store has the bytes.
   */
  image(address) {
    if (!this.asked.has(address)) {
      const made = new Promise((resolve, reject) => this.waiting.unshift({ address, resolve, reject }));
      const settled = () => {
        if (this.asked.get(address) === made) this.asked.delete(address);
      };
      made.then(settled, settled);
      this.asked.set(address, made);
      this.next();
    }
    return this.asked.get(address);
  }

  /** Forget wishes that have not been begun. */
  forget() {
    for (const { address, reject } of this.waiting.splice(0)) {
      this.asked.delete(address);
      reject(new DOMException("no longer wanted", "AbortError"));
    }
  }

  async next() {
    if (this.going >= AT_ONCE || !this.waiting.length) return;
    const { address, resolve, reject } = this.waiting.shift();
    this.going += 1;
    try {
      const blob = await this.fetched(address);
      resolve(await createImageBitmap(blob));
    } catch (error) {
      reject(error);
    } finally {
      this.going -= 1;
      this.next();
    }
  }

  /**
   * The bytes at an address, however often it takes to ask, as long as they are ``wanted``; ``aloud`` is what
   * the page says meanwhile.
   */
  async fetched(address, aloud = "", wanted = () => true) {
    for (let tries = 0; tries < TRIES && !this.closed && wanted(); tries++) {
      const reply = await fetch(address, { credentials: "same-origin" });
      if (reply.status === 200) {
        if (aloud) this.tell("");
        return reply.blob();
      }
      if (reply.status !== 202 && reply.status !== 503) throw new Error(`no picture: ${reply.status}`);
      if (aloud) this.tell(aloud);
      await pause(1000 * (Number(reply.headers.get("Retry-After")) || 1) + 300 * Math.random());
    }
    throw new Error("no picture");
  }
}
