// stand: the best spot for one station, or which of the given stands are allowed and what stands against the rest.

import { counted, runAttempt } from "../sheet/attempt.js";

runAttempt(({ form, sheet }) => {
  const rows = [...form.querySelectorAll("[data-stand]")];
  const said = (row) => row.querySelector("input:checked")?.value ?? "";

  function refresh() {
    for (const row of rows) {
      const reason = row.querySelector("select");
      reason.closest("label").hidden = said(row) !== "refused";
    }
  }

  function which() {
    const allowed = [];
    const why = {};
    for (const row of rows) {
      if (said(row) === "allowed") allowed.push(Number(row.dataset.stand));
      else {
        const reason = row.querySelector("select").value;
        if (reason) why[row.dataset.stand] = reason;
      }
    }
    return { allowed, why };
  }

  sheet.addEventListener("pick", (event) => {
    const row = rows.find((r) => Number(r.dataset.stand) === event.detail.number);
    if (!row) return;
    event.preventDefault();
    row.querySelector("input").focus();
    row.scrollIntoView({ block: "nearest" });
  });

  if (!rows.length) {
    return {
      collect: () => ({ stations: sheet.stations.list }),
      missing: () => (sheet.stations.list.length ? "" : "Put the station where you would stand first."),
      review: () => `You stand at ${sheet.describe(0)}. An answer is sent once.`,
    };
  }
  return {
    refresh,
    collect: which,
    missing: () => {
      const open = rows.find((row) => !said(row) || (said(row) === "refused" && !row.querySelector("select").value));
      return open ? `Say for stand ${open.dataset.stand} whether it is allowed, and if not, what stands against it.` : "";
    },
    review: () => `You allow ${counted(which().allowed.length, "stand")} of ${rows.length}. An answer is sent once.`,
  };
});
