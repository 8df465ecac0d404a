// The stations somebody has placed, with undo and redo. Knows no page.

export class Stations extends EventTarget {
  constructor(list = [], most = 40) {
    super();
    this.list = list.map((s) => ({ ...s }));
    this.most = most;
    this.selected = -1;
    this.past = [];
    this.future = [];
    this.lastAct = "";
  }

  get full() {
    return this.list.length >= this.most;
  }

  /** Take a step that undo can take back; steps of one act (a run of nudges) are one. */
  step(act, change) {
    const before = JSON.stringify(this.list);
    const joined = act !== "" && act === this.lastAct;
    change();
    if (JSON.stringify(this.list) === before) return;
    if (!joined) this.past.push(before);
    this.future = [];
    this.lastAct = act;
    this.tell();
  }

  tell() {
    this.dispatchEvent(new Event("change"));
  }

  add(station) {
    if (this.full) {
      if (this.most !== 1) return false;
      this.step("", () => this.list.splice(0, 1, station));
      return true;
    }
    this.step("", () => this.list.push(station));
    return true;
  }

  move(index, x, y, act = "") {
    this.step(act && `${act}${index}`, () => {
      this.list[index] = { ...this.list[index], x: tidy(x), y: tidy(y) };
    });
  }

  change(index, station) {
    this.step("", () => {
      this.list[index] = { level: station.level, x: tidy(station.x), y: tidy(station.y) };
    });
  }

  remove(index) {
    this.selected = -1;
    this.step("", () => this.list.splice(index, 1));
  }

  replace(list) {
    this.selected = -1;
    this.step("", () => {
      this.list = list.map((s) => ({ ...s }));
    });
  }

  select(index) {
    this.selected = index;
    this.lastAct = "";
    this.tell();
  }

  undo() {
    return this.travel(this.past, this.future);
  }

  redo() {
    return this.travel(this.future, this.past);
  }

  travel(from, to) {
    if (!from.length) return false;
    to.push(JSON.stringify(this.list));
    this.list = JSON.parse(from.pop());
    if (this.selected >= this.list.length) this.selected = -1;
    this.lastAct = "";
    this.tell();
    return true;
  }
}

/** Coordinates to the millimetre: finer than any hand. */
export const tidy = (value) => Math.round(value * 1000) / 1000;
