// Flat pictures under scripts: sharper sources when they are laid out larger, and marking by tap and by keys.

import { wrapped } from "./sphere.js";
import { inWords } from "./marks.js";

/** Bind the flat pictures of a <frame-view>. */
export function flatten(view) {
  for (const one of view.pictures) {
    const { figure, img } = one;
    const marked = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    marked.setAttribute("class", "over");
    marked.setAttribute("aria-hidden", "true");
    marked.setAttribute("viewBox", "0 0 360 180");
    marked.setAttribute("preserveAspectRatio", "none");
    img.parentElement.append(marked);
    one.marked = marked;
    figure.addEventListener("change", (event) => {
      if (event.target.type !== "radio") return;
      img.sizes = `${img.clientWidth}px`;
    });
    if (img.complete && !img.naturalWidth) view.ready(one).catch(() => {});
    else img.addEventListener("error", () => view.ready(one).catch(() => {}), { once: true });
    if (one.what !== "frame") continue;
    img.addEventListener("click", (event) => {
      const box = img.getBoundingClientRect();
      const azimuth = wrapped(((event.clientX - box.x) / box.width) * 360 - 180);
      const elevation = 90 - ((event.clientY - box.y) / box.height) * 180;
      view.tap(azimuth, elevation, { density: box.width / 360 });
      place(view);
    });
  }
  view.addEventListener("spotmark", () => place(view));
  for (const row of view.spots.rows) row.addEventListener("change", () => place(view));
  place(view);
}

/** Draw what is marked on the flat frames. */
function place(view) {
  for (const one of view.pictures) {
    if (one.what !== "frame") continue;
    one.marked.replaceChildren(
      ...view.spots.list.map(({ azimuth, elevation }) => {
        const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
        const [x, y] = [azimuth + 180, 90 - elevation];
        path.setAttribute("d", `M${x - 4} ${y - 2}v-2h2m4 0h2v2m0 4v2h-2m-4 0h-2v-2`);
        path.setAttribute("vector-effect", "non-scaling-stroke");
        path.append(document.createElementNS("http://www.w3.org/2000/svg", "title"));
        path.firstChild.textContent = inWords(azimuth, elevation);
        return path;
      }),
    );
  }
}
