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
const CLICK_COMES_MS = 2000;
let isDown = false;
let lifting = null;
const later = new Map();
addEventListener("pointerdown", () => { clearTimeout(lifting); isDown = true; }, { capture: true });
// A finger's click comes some time after it was lifted, on a busy tablet long after, and needs its button still to be there.
// None comes of a finger that scrolled, nor of one that slid off its button: only then is it waited for in vain.
addEventListener("pointerup", () => { lifting = setTimeout(lifted, CLICK_COMES_MS); }, { capture: true });
addEventListener("pointercancel", lifted, { capture: true });
addEventListener("click", lifted, { capture: true });

function lifted() {
  clearTimeout(lifting);
  isDown = false;
  setTimeout(drawLater, 0);
}

function drawLater() {
  if (isDown) return;
  for (const [place, children] of [...later]) redraw(place, ...children);
}

export function redraw(place, ...children) {
  if (isDown) return void later.set(place, children);
  later.delete(place);
  const held = place.contains(document.activeElement) ? document.activeElement : null;
  const typed = held?.matches("input") ? { value: held.value, from: held.type === "text" ? held.selectionStart : null } : null;
  const scrolled = [...place.querySelectorAll("[data-scroll]")].map((each) => [each.dataset.scroll, each.scrollTop]);
  const opened = folds(place).filter(([, each]) => each.open).map(([name]) => name);
  place.replaceChildren(...children.flat(3).filter(Boolean));
  for (const [name, top] of scrolled) {
    const same = place.querySelector(`[data-scroll="${name}"]`);
    if (same) same.scrollTop = top;
  }
  for (const [name, each] of folds(place)) each.open ||= opened.includes(name);
  const again = held?.dataset.at && place.querySelector(`[data-at="${CSS.escape(held.dataset.at)}"]`);
  if (!again || again === document.activeElement) return;
  // What is half typed stays as it is.
  if (typed && again.matches("input")) again.value = typed.value;
  again.focus({ preventScroll: true });
  if (typed?.from !== null && typed?.from !== undefined) again.setSelectionRange(typed.from, typed.from);
}

// What can be folded out, by its words and which of those it is.
function folds(place) {
  const seen = {};
  return [...place.querySelectorAll("details")].map((each) => {
    const words = each.querySelector("summary").textContent;
    seen[words] = (seen[words] ?? 0) + 1;
    return [`${words} ${seen[words]}`, each];
  });
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
