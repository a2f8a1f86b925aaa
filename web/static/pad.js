// A signature drawn with a finger: the strokes on a field, as points in its own units.
(() => {
  "use strict";
  const APART = 3; // units; closer points add nothing to be seen
  let line = null, points = [];

  const at = (pad, e) => {
    const box = pad.getBoundingClientRect(), field = pad.viewBox.baseVal;
    const within = (part, whole, units) => Math.max(0, Math.min(units, Math.round((part / whole) * units)));
    return [within(e.clientX - box.left, box.width, field.width), within(e.clientY - box.top, box.height, field.height)];
  };

  const add = (pad, p) => {
    const last = points[points.length - 1];
    if (last && Math.hypot(last[0] - p[0], last[1] - p[1]) < APART) return;
    points.push(p);
    line.setAttribute("points", points.map((x) => x.join(",")).join(" "));
    pad.closest("form").elements.drawn.value = [...pad.children].map((x) => x.getAttribute("points")).join(";");
  };

  const padOf = (e) => e.target.closest?.("svg[data-pad]");

  document.addEventListener("pointerdown", (e) => {
    const pad = padOf(e);
    if (!pad || e.button > 0) return;
    e.preventDefault();
    pad.setPointerCapture(e.pointerId);
    line = pad.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "polyline"));
    points = [];
    add(pad, at(pad, e));
  });
  document.addEventListener("pointermove", (e) => {
    const pad = line && padOf(e);
    if (pad) add(pad, at(pad, e));
  });
  for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => { line = null; });

  document.addEventListener("click", (e) => {
    if (!e.target.closest?.("[data-pad-clear]")) return;
    const form = e.target.closest("form");
    form.querySelector("svg[data-pad]").replaceChildren();
    form.elements.drawn.value = "";
  });
})();
