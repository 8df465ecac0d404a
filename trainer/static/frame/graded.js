// The page of a graded frame: the view, with the buttons that need scripts, opened on the worst place.

import "./view.js";

for (const part of document.querySelectorAll("[data-graded] [data-live]:not(frame-view *)")) part.hidden = false;
document.documentElement.dataset.ready = "";
