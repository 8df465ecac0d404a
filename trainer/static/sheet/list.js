// The coordinates list: the same stations as rows of fields, for keys, screen readers and exact figures.
//
// What cannot be read stays in its field, marked, until it is mended or its station is moved on the sheet.

import { fieldWords, readLength } from "./lengths.js";
import { make } from "./paper.js";

/** What in a list of rows cannot be read, in words, its field in sight; "" when all can. */
export function unreadIn(list) {
  const field = list.querySelector("[aria-invalid='true']");
  if (!field) return "";
  field.closest("details")?.setAttribute("open", "");
  const which = field.closest("li").querySelector(".which").textContent;
  return `${which}: “${field.value}” is not a length. Write 2.5 or 8′ 2″ in the coordinates list.`;
}

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
      if (Number.isFinite(value)) {
        station[axis] = value;
        accept(input);
      } else {
        input.setAttribute("aria-invalid", "true");
        input.dataset.insteadOf = fieldWords(station[axis], sheet.units);
      }
    }
    sheet.stations.change(index, station);
  }

  function accept(input) {
    input.removeAttribute("aria-invalid");
    delete input.dataset.insteadOf;
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
        const words = fieldWords(station[axis], sheet.units);
        const { insteadOf } = input.dataset;
        if (insteadOf === undefined ? document.activeElement === input : insteadOf === words) continue;
        accept(input);
        input.value = words;
      }
    });
    list.closest("[data-list]")?.toggleAttribute("data-empty", stations.length === 0);
  }

  list.replaceChildren();
  sheet.addEventListener("stationschange", refresh);
  refresh();
}
