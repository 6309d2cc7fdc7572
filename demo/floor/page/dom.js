// Making elements, and nothing else: no template, no library.

const SVG = "http://www.w3.org/2000/svg";

function filled(element, given, children) {
  for (const [name, value] of Object.entries(given ?? {})) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" && "value" in element) element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(3).filter((each) => each !== null && each !== undefined && each !== false && each !== ""));
  return element;
}

export const h = (tag, given, ...children) => filled(document.createElement(tag), given, children);
export const s = (tag, given, ...children) => filled(document.createElementNS(SVG, tag), given, children);

// The same place drawn again, with the focus where it was: elements that are focused have a data-at. Never under a finger:
// what arrives while one is down is drawn when it is lifted and its tap is done.
let isDown = false;
const later = new Map();
addEventListener("pointerdown", () => { isDown = true; }, { capture: true });
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { isDown = false; setTimeout(drawLater, 0); }, { capture: true });

function drawLater() {
  if (isDown) return;
  for (const [place, children] of [...later]) redraw(place, ...children);
}

export function redraw(place, ...children) {
  if (isDown) return void later.set(place, children);
  later.delete(place);
  const at = place.contains(document.activeElement) ? document.activeElement.dataset?.at : null;
  const scrolled = [...place.querySelectorAll("[data-scroll]")].map((each) => [each.dataset.scroll, each.scrollTop]);
  place.replaceChildren(...children.flat(3).filter(Boolean));
  for (const [name, top] of scrolled) {
    const same = place.querySelector(`[data-scroll="${name}"]`);
    if (same) same.scrollTop = top;
  }
  if (at) place.querySelector(`[data-at="${CSS.escape(at)}"]`)?.focus({ preventScroll: true });
}

export const button = (words, onclick, given = {}) =>
  h("button", { type: "button", "data-at": typeof words === "string" ? words : undefined, ...given, onclick }, words);

// One of a few: buttons that say which is pressed.
export const choices = (name, options, chosen, take) =>
  h("div", { class: "choices", role: "group", "aria-label": name },
    options.map(([value, words]) => button(words, () => take(value), {
      "aria-pressed": String(value === chosen), "data-at": `${name} ${value}` })));

export function announce(words) {
  const place = document.getElementById("spoken");
  if (place) place.textContent = words;
}

// It is done when it was held, by finger, mouse, Enter or space; let go earlier it is not. Undo is better where there is one.
export function holdButton(words, done, given = {}) {
  const HOLD = 700;
  let timer = null;
  const made = h("button", { type: "button", class: "hold first", ...given }, h("span", {}, words));
  const begin = (event) => {
    if (made.disabled || timer || (event.type === "keydown" && !["Enter", " "].includes(event.key))) return;
    event.preventDefault();
    made.focus();
    made.classList.add("held");
    timer = setTimeout(() => { end(); done(); }, HOLD);
  };
  const end = () => { clearTimeout(timer); timer = null; made.classList.remove("held"); };
  made.addEventListener("pointerdown", begin);
  made.addEventListener("keydown", begin);
  for (const name of ["pointerup", "pointerleave", "pointercancel", "keyup", "blur"]) made.addEventListener(name, end);
  made.addEventListener("contextmenu", (event) => event.preventDefault());
  return made;
}
