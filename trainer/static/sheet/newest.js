// Asking the server for what is on the sheet now: one request at a time, and always for the newest state.

const BUSY_MS = 1000;

/** What a run gives back when the server had no seat free: it comes again by itself. */
export const BUSY = "busy";

/**
 * ``soon`` has ``run`` called after a pause [ms], unless it is wanted again meanwhile; what is wanted while a run is
 * underway is run once when that is over. ``stop`` lets go of what has not begun.
 */
export function newestOf(run, pause) {
  let timer = 0;
  let underway = false;
  let again = false;

  async function begin() {
    again = underway;
    if (underway) return;
    underway = true;
    let said = "";
    try {
      said = await run();
    } finally {
      underway = false;
      if (again) begin();
      else if (said === BUSY) wait(BUSY_MS);
    }
  }

  function wait(milliseconds) {
    clearTimeout(timer);
    timer = setTimeout(begin, milliseconds);
  }

  return {
    soon: () => wait(pause),
    stop: () => {
      clearTimeout(timer);
      again = false;
    },
  };
}
