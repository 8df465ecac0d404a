// The coordinates list: the same stations as rows of fields, for keys, screen readers and exact figures.

import { fieldWords, readLength } from "./lengths.js";
import { make } from "./paper.js";

/** Keep a list of rows and a <plan-sheet> in step. */
export function bindList(list, sheet) {
  const levels = sheet.plan.levels;

  function row(index) {
    const number = sheet.first + index + 1;
    const which = make("span", { class: "which" }, "");
    const fields = [];
    if (levels.length > 1) {
      const select = make("select", { name: `level-${index + 1}` });
      levels.forEach((level, i) => select.append(make("option", { value: i }, level.name)));
      fields.push(make("label", {}, "level", select));
    } else fields.push(make("input", { type: "hidden", name: `level-${index + 1}`, value: 0 }));
    for (const [name, words] of [["x", "across"], ["y", "up"]]) {
      const input = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", name: `${name}-${index + 1}` });
      fields.push(make("label", {}, words, input));
    }
    const away = make("button", { type: "button", "aria-label": `Take station ${number} away` }, "Delete");
    away.addEventListener("click", () => sheet.delete(index));
    const item = make("li", {}, which, ...fields, away);
    item.addEventListener("change", () => read(item, index));
    return item;
  }

  function read(item, index) {
    const station = { ...sheet.stations.list[index] };
    const level = item.querySelector("[name^='level']");
    station.level = Number(level.value);
    for (const axis of ["x", "y"]) {
      const input = item.querySelector(`[name^='${axis}-']`);
      const value = readLength(input.value, sheet.units);
      if (Number.isFinite(value)) input.removeAttribute("aria-invalid");
      else input.setAttribute("aria-invalid", "true");
      if (!Number.isFinite(value)) return;
      station[axis] = value;
    }
    sheet.stations.change(index, station);
  }

  function refresh() {
    const stations = sheet.stations.list;
    const rows = list.children;
    while (rows.length > stations.length) list.lastElementChild.remove();
    while (rows.length < stations.length) list.append(row(rows.length));
    stations.forEach((station, i) => {
      const item = rows[i];
      item.querySelector(".which").textContent = `Station ${sheet.first + i + 1}, ${sheet.spaceName(station.level, station.x, station.y)}`;
      const level = item.querySelector("[name^='level']");
      if (document.activeElement !== level) level.value = String(station.level);
      for (const axis of ["x", "y"]) {
        const input = item.querySelector(`[name^='${axis}-']`);
        if (document.activeElement !== input) input.value = fieldWords(station[axis], sheet.units);
      }
    });
    list.closest("[data-list]")?.toggleAttribute("data-empty", stations.length === 0);
  }

  list.replaceChildren();
  sheet.addEventListener("stationschange", refresh);
  refresh();
}
