/* A size adviser for a shop's page: one file, no other library, no other host than the fitting service.

   <script src="size-adviser.js" type="module"></script>
   <size-adviser api="https://fitting.example" key="a web key of this page's origin" charts="everyday"></size-adviser>

   `charts` names charts of the shop, by commas; the first one's labels are offered as "our own sizes".
   When the visitor takes a size it sends the event `size-chosen`, which bubbles; `event.detail` is
   {jacket, trousers, alterations, how_sure}. It keeps nothing: no cookie, no storage, and the service records nothing.
   Colours can be set from outside: --adviser-ink, --adviser-accent, --adviser-paper, --adviser-line.
*/

const STYLE = `
:host { --ink: var(--adviser-ink, #1d2733); --accent: var(--adviser-accent, #1f4e79); --paper: var(--adviser-paper, #ffffff);
  --line: var(--adviser-line, #c3cad2); --soft: #f3f5f7; --good: #1c6438; --work: #7a4a00; --bad: #a11d1d;
  display: block; color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
* { box-sizing: border-box; }
[hidden] { display: none !important; }
h2, h3, h4 { line-height: 1.25; margin: 0 0 .5rem; }
h2 { font-size: 1.4rem; } h3 { font-size: 1.35rem; } h4 { font-size: 1.05rem; margin-top: 1.5rem; }
p { margin: 0 0 .75rem; }
form, .part { border: 1px solid var(--line); border-radius: .5rem; padding: 1.25rem; margin: 0 0 1.25rem; background: var(--paper); }
fieldset { border: 0; padding: 0; margin: 0 0 1rem; min-width: 0; }
legend { font-weight: 600; padding: 0; margin-bottom: .25rem; }
.row { display: flex; flex-wrap: wrap; gap: 1rem; }
.row > * { flex: 1 1 11rem; min-width: 0; margin: 0 0 1rem; }
.choices { display: flex; flex-wrap: wrap; gap: .5rem; }
.choices label { display: inline-flex; align-items: center; gap: .5rem; border: 1px solid var(--line); border-radius: .4rem;
  padding: .55rem .9rem; min-height: 2.75rem; cursor: pointer; }
.choices label:has(:checked) { border-color: var(--accent); box-shadow: inset 0 0 0 1px var(--accent); background: var(--soft); }
input[type=radio] { accent-color: var(--accent); width: 1.1rem; height: 1.1rem; margin: 0; }
.field > label, .field .name { display: block; font-weight: 600; }
.pair { display: flex; gap: .5rem; align-items: center; }
.pair span { flex: none; }
input[type=text], select { font: inherit; color: inherit; background: var(--paper); width: 100%; min-height: 2.75rem;
  border: 1px solid #76818d; border-radius: .4rem; padding: .4rem .7rem; }
[aria-invalid=true] { border: 2px solid var(--bad); }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
.hint { color: #4a5663; font-size: .92rem; margin: .15rem 0 0; }
.wrong { color: var(--bad); font-weight: 600; margin: .25rem 0 0; }
button { font: inherit; font-weight: 600; min-height: 2.75rem; padding: .55rem 1.2rem; border-radius: .4rem; cursor: pointer;
  border: 1px solid var(--accent); background: var(--paper); color: var(--accent); }
button.small { min-height: 1.5rem; padding: .1rem .6rem; font-size: .92rem; }
button.first { background: var(--accent); color: var(--paper); }
.doing { display: flex; flex-wrap: wrap; gap: .75rem; margin-top: 1rem; }
.sizes { display: flex; flex-wrap: wrap; gap: .75rem; margin: 0 0 1rem; padding: 0; list-style: none; }
.sizes li { background: var(--soft); border-radius: .5rem; padding: .6rem 1.1rem; }
.sizes strong { display: block; font-size: 2rem; line-height: 1.15; }
.meter { height: .7rem; border-radius: .35rem; background: #dde2e7; overflow: hidden; margin: .35rem 0 .5rem; max-width: 26rem; }
.meter i { display: block; height: 100%; background: var(--accent); }
.look { display: grid; grid-template-columns: 15.5rem 1fr; gap: 1.5rem; align-items: start; }
.look svg { width: 100%; height: auto; display: block; }
.places { list-style: none; margin: 0; padding: 0; }
.places li { display: grid; grid-template-columns: 2rem 1fr; gap: .6rem; padding: .45rem 0; border-top: 1px solid #e3e7eb; }
.places li:first-child { border-top: 0; }
.places svg { width: 1.75rem; height: 1.75rem; }
.places p { margin: 0; }
.key { display: flex; flex-wrap: wrap; gap: .25rem 1.25rem; font-size: .92rem; margin: .5rem 0 0; padding: 0; list-style: none; }
.key li { display: flex; align-items: center; gap: .35rem; } .key svg { width: 1.3rem; height: 1.3rem; }
.how { display: grid; grid-template-columns: 8.5rem 1fr; gap: 1.25rem; }
.how svg { width: 100%; height: auto; }
.next { border: 2px solid var(--accent); }
ul.plain { margin: 0 0 .5rem; padding-left: 1.2rem; } ul.plain li { margin-bottom: .35rem; }
.notice { border-left: 4px solid var(--work); background: #fdf6ea; padding: .6rem .9rem; margin: 0 0 1rem; }
@media (max-width: 36rem) {
  form, .part { padding: 1rem .9rem; }
  .look, .how { grid-template-columns: 1fr; } .look > svg { max-width: 17rem; margin: 0 auto; } .how svg { max-width: 9rem; margin: 0 auto; }
  .doing button { flex: 1 1 100%; }
}
@media print { form, .doing, .next { display: none; } }
`;

/* ------------------------------------------------------------------ what is asked */

// How a visitor takes each measure by himself. What is not here, only somebody else can take well: the shop does.
const MEASURES = {
  chest_girth: { name: "chest", at: "chest",
    how: "Put the tape round you under the arms, over the fullest part of the chest and level at the back. Over a shirt, arms down, breathing normally. Snug, not tight." },
  trouser_waist_girth: { name: "trouser waist", at: "trousers",
    how: "Put the tape round you where the band of your trousers sits, over the shirt. Leave it easy enough for one finger. Do not read the label: it is not a measure." },
  waist_girth: { name: "waist at the navel", at: "waist",
    how: "Put the tape round you at the height of the navel, level all round. Stand easy and do not draw the stomach in." },
  hip_girth: { name: "seat", at: "seat",
    how: "Empty your pockets, put your feet together, and put the tape round the fullest part of the seat, level all round." },
  inside_leg_length: { name: "inside leg", at: "leg",
    how: "Without shoes: from the fork, close to the body, straight down to the floor. Easier with help, or against a wall with a book held up level." },
  arm_length: { name: "arm", at: "arm",
    how: "With somebody's help: arm hanging, from the bone at the end of the shoulder, along the outside of the arm, to the wrist bone." },
  thigh_girth: { name: "thigh", at: "thigh", how: "Put the tape round one thigh just below the fork, level, standing with your weight on both feet." },
  cervical_height: { name: "height to the nape", at: "nape",
    how: "With somebody's help, without shoes: from the bone that stands out at the back of the neck when you nod, straight down to the floor." },
  neck_girth: { name: "neck", at: "neck", how: "Put the tape round the neck where a shirt collar sits, with one finger under it." },
};
const LOOKING_FOR = { suit: ["jacket", "trousers"], jacket: ["jacket"], trousers: ["trousers"] };
const FIELDS = {
  height_cm: { words: "a height between 120 and 230 cm", least: 120, most: 230 },
  height_ft: { words: "feet between 4 and 7", least: 4, most: 7 },
  height_in: { words: "inches between 0 and 11 1/2", least: 0, most: 11.99 },
  weight_kg: { words: "a weight between 35 and 250 kg", least: 35, most: 250 },
  weight_st: { words: "stones between 5 and 39", least: 5, most: 39 },
  weight_lb: { words: "pounds: up to 13 with stones, or between 77 and 550 without", least: 0, most: 550 },
  age: { words: "an age between 1 and 120", least: 1, most: 120 },
};

/* ------------------------------------------------------------------ how it is said */

const PLACES = {
  "jacket/shoulder": ["Shoulders", 88, 92], "jacket/back_width": ["Across the back", 153, 108], "jacket/chest": ["Chest", 93, 126],
  "jacket/waist": ["Waist of the jacket", 95, 166], "jacket/seat": ["Jacket over the seat", 93, 208], "jacket/sleeve": ["Sleeves", 54, 190],
  "jacket/back_length": ["Length of the jacket", 120, 228], "trousers/waist": ["Trouser waist", 147, 190],
  "trousers/seat": ["Seat of the trousers", 149, 222], "trousers/thigh": ["Thigh", 145, 272], "trousers/inside_leg": ["Length of the leg", 141, 352],
};
const WORK = {
  trouser_hem: "Hem the trousers to the length of your leg", trouser_waist_in: "Take the trouser waist in", trouser_waist_out: "Let the trouser waist out",
  trouser_seat_in: "Take the seat of the trousers in", trouser_seat_out: "Let the seat of the trousers out", trouser_sides_in: "Take the trousers in at the sides",
  trouser_thigh_in: "Take the thighs in", trouser_thigh_out: "Let the thighs out", trouser_leg_taper: "Taper the legs",
  jacket_waist_in: "Take the jacket in at the waist", jacket_waist_out: "Let the jacket out at the waist", jacket_chest_in: "Take the jacket in at the chest",
  jacket_skirt_in: "Take the jacket in over the seat", jacket_skirt_out: "Let the jacket out over the seat", jacket_centre_back_in: "Take the centre back in",
  jacket_centre_back_out: "Let the centre back out", jacket_shoulder_narrow: "Narrow the shoulders", jacket_body_shorten: "Shorten the jacket",
  jacket_body_lengthen: "Lengthen the jacket", jacket_sleeve_shorten_at_cuff: "Shorten the sleeves", jacket_sleeve_shorten_at_shoulder: "Shorten the sleeves from the shoulder",
  jacket_sleeve_lengthen_at_cuff: "Lengthen the sleeves", jacket_sleeve_lengthen_at_shoulder: "Lengthen the sleeves from the shoulder",
};
const COUNTED = { girth: " all round", per_side: " a side", per_leg: " a leg", length: "" };
const NOT_SHOWN = new Set(["label_is_an_interval", "label_not_the_tape", "measure_wanted", "nothing_known", "place_not_seen", "subject_to_inlay", "second_reading_advised"]);

const LIKELY = [[0.85, "very likely as it should be"], [0.6, "likely as it should be"], [0, "may be right, may need the needle"]];

const SVG = "http://www.w3.org/2000/svg";
const ATTRIBUTE_ONLY = /^(aria-|role$|for$|list$|viewBox$)/;

/** An element with its attributes and what is in it; text is only ever text. */
function el(name, given = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key in made && !ATTRIBUTE_ONLY.test(key) && key !== "style") made[key] = value;
    else made.setAttribute(key, value);
  }
  made.append(...inside.flat().filter((each) => each !== null && each !== undefined));
  return made;
}

/** A part of a drawing. */
function draw(name, given = {}, ...inside) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}

const money = (amount) =>
  new Intl.NumberFormat(document.documentElement.lang || undefined, { style: "currency", currency: amount.currency }).format(amount.minor / 100);
const share = (p) => (p < 0.005 ? "fewer than 1" : String(Math.round(p * 100)));
const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** Millimetres as the visitor counts: centimetres to the half, or inches to the quarter. */
function length(mm, imperial) {
  const size = Math.abs(mm);
  if (!imperial) return `${Math.round(size / 5) / 2} cm`;
  const quarters = Math.round(size / 6.35);
  const part = ["", "1/4", "1/2", "3/4"][quarters % 4];
  const whole = Math.floor(quarters / 4);
  return `${[whole || !part ? whole : "", part].filter((each) => each !== "").join(" ")} in`;
}

/** The share of men with this estimate who are within the tolerance: a normal, by a logistic that is within 1 in 100 of it. */
function within({ residual_mm, sd_mm, tolerance_mm: [low, high] }) {
  const below = (edge) => 1 / (1 + Math.exp(-1.702 * ((edge - residual_mm) / Math.max(sd_mm, 0.1))));
  return below(high) - below(low);
}

/** A number as it is typed: 81, 81.5, 81,5, 32 1/2, 32½. NaN where it is none. */
function typed(text) {
  const parts = { "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8" };
  const plain = text.trim().replace(",", ".").replace(/[¼½¾⅛⅜⅝⅞]/g, (letter) => parts[letter]).trim();
  const found = /^(?:(\d+(?:\.\d+)?)(?:[ -]+(\d+)\/(\d+))?|(\d+)\/(\d+))$/.exec(plain);
  if (!found) return NaN;
  if (found[4]) return Number(found[4]) / Number(found[5]);
  return Number(found[1]) + (found[2] ? Number(found[2]) / Number(found[3]) : 0);
}

/* ------------------------------------------------------------------ drawings */

/** A badge: what is right is round, what is unsure is round and broken, what is altered a diamond, what stays wrong a triangle. */
function badge(kind, number, x = 14, y = 14, r = 11) {
  const colour = { right: "#1c6438", maybe: "#4a5663", work: "#7a4a00", wrong: "#a11d1d" }[kind];
  const style = { fill: "#ffffff", stroke: colour, "stroke-width": 2.5 };
  const shape = {
    right: () => draw("circle", { cx: x, cy: y, r, ...style }),
    maybe: () => draw("circle", { cx: x, cy: y, r, ...style, "stroke-dasharray": "4 3" }),
    work: () => draw("path", { d: `M${x} ${y - r - 3} L${x + r + 3} ${y} L${x} ${y + r + 3} L${x - r - 3} ${y} Z`, ...style }),
    wrong: () => draw("path", { d: `M${x} ${y - r - 3} L${x + r + 3} ${y + r} L${x - r - 3} ${y + r} Z`, ...style }),
  }[kind]();
  const text = draw("text", { x, y: y + { right: 4.2, maybe: 4.2, work: 3.8, wrong: 7 }[kind], "text-anchor": "middle", "font-size": kind === "right" || kind === "maybe" ? 12 : 10.5, "font-weight": 700, fill: colour });
  text.textContent = number ?? "";
  return draw("g", {}, shape, text);
}

const small = (kind, number) => draw("svg", { viewBox: "-2 -2 32 32", "aria-hidden": "true", focusable: "false" }, badge(kind, number));

/** One half of what is alike on both sides, and its mirror image. */
const both = (...d) => d.flatMap(([path, style]) => [draw("path", { d: path, ...style }), draw("path", { d: path, ...style, transform: "translate(240 0) scale(-1 1)" })]);

/** A man from the front, in what was advised; with nothing advised, in his shirt, ready for the tape. */
function man(garments) {
  const skin = { fill: "#ead9c8", stroke: "#6b5847", "stroke-width": 1.5, "stroke-linejoin": "round" };
  const cloth = { fill: "#3d536b", stroke: "#1d2b3a", "stroke-width": 1.5, "stroke-linejoin": "round" };
  const shirt = { ...skin, fill: "#f7f7f4", stroke: "#8a8f96" };
  const plain = { ...shirt, fill: "#e6e8ea" };
  const jacket = garments.includes("jacket") ? cloth : plain;
  const legs = garments.includes("trousers") ? cloth : plain;
  const seam = { fill: "none", stroke: garments.includes("jacket") ? "#1d2b3a" : "#8a8f96", "stroke-width": 1.3 };
  if (!garments.length) return [...bare(skin), ...inShirt(shirt, plain)];
  return [
    ...bare(skin),
    ...both(["M80 182 L120 182 L120 246 L113 406 L92 406 Q82 318 80 182 Z", legs]),
    draw("path", { d: "M112 74 L128 74 L132 100 L120 152 L108 100 Z", ...shirt }),
    draw("path", { d: "M117 82 h6 l2 8 l-2 50 l-3 10 l-3 -10 l-2 -50 Z", fill: "#7b2f36" }),
    ...both(
      ["M76 92 Q62 98 59 134 L48 206 L66 211 L80 150 Z", jacket],
      ["M111 74 Q104 80 90 84 Q74 89 73 104 L80 152 Q77 186 74 238 Q100 244 121 240 L121 152 Q112 118 111 74 Z", jacket],
      ["M111 74 L99 96 L107 102 L103 108 L120 152", seam], ["M84 200 h20 v5 h-20 Z", seam],
    ),
    draw("circle", { cx: 120, cy: 160, r: 2, fill: "#e8e8e8" }), draw("circle", { cx: 120, cy: 178, r: 2, fill: "#e8e8e8" }),
  ];
}

/** Head, hands and shoes. */
function bare(skin) {
  return [
    draw("path", { d: "M110 58 h20 v24 h-20 Z", ...skin }), draw("ellipse", { cx: 120, cy: 40, rx: 19, ry: 25, ...skin }),
    draw("path", { d: "M101 37 Q100 13 120 12 Q140 13 139 37 Q134 25 120 25 Q106 25 101 37 Z", fill: "#4c3b2e" }),
    ...both(["M93 404 Q82 418 78 424 L108 424 L112 404 Z", { fill: "#33261d" }], ["M56 208 q-8 12 -2 24 q10 4 12 -8 l2 -14 Z", skin]),
  ];
}

/** Shirt and trousers. */
function inShirt(shirt, trousers) {
  return both(
    ["M80 186 L121 186 L121 246 L113 406 L92 406 Q80 318 80 186 Z", trousers],
    ["M78 92 Q64 98 61 134 L50 206 L65 210 L82 148 Z", shirt],
    ["M110 74 Q104 82 92 85 Q76 90 76 104 L83 150 Q81 170 80 194 L121 194 L121 84 Z", shirt],
    ["M110 74 L120 84 L112 94 Z", shirt], ["M80 188 L121 188 L121 196 L80 196 Z", { ...trousers, fill: "#4c3b2e" }],
  );
}

/** The plan as a picture: the man with a badge at each place. `said` is the same in words. */
function picture(places, garments, said) {
  const title = draw("title");
  title.textContent = said;
  const badges = places.map((each, at) => badge(each.kind, at + 1, each.x, each.y));
  return draw("svg", { viewBox: "30 6 180 424", role: "img", "aria-label": said }, title, ...man(garments), ...badges);
}

/** Where the tape goes. */
function tape(at) {
  const ring = (cy, rx, cx = 120, ry = 7) => draw("ellipse", { cx, cy, rx, ry, fill: "none", stroke: "#b3261e", "stroke-width": 5 });
  const line = (d) => draw("path", { d, fill: "none", stroke: "#b3261e", "stroke-width": 5, "stroke-linecap": "round" });
  const where = {
    chest: () => ring(122, 46), waist: () => ring(170, 43), trousers: () => ring(190, 44), seat: () => ring(216, 46), neck: () => ring(74, 14, 120, 5),
    thigh: () => ring(262, 19, 99, 6), leg: () => line("M120 250 V424"), arm: () => line("M76 94 Q60 110 57 140 L49 206"), nape: () => line("M134 66 H186 V424 M176 424 H196"),
  }[at]();
  const shown = { thigh: "40 170 160 170", leg: "30 170 180 260", nape: "30 6 180 424" }[at] ?? "30 6 180 240";
  return draw("svg", { viewBox: shown, "aria-hidden": "true", focusable: "false" }, ...man([]), where);
}

/* ------------------------------------------------------------------ the element */

class SizeAdviser extends HTMLElement {
  #answers = {};
  #measured = [];
  #skipped = new Set();
  #own = { jacket: [], trousers: [] };
  #asking = 0;
  #anew = null;

  connectedCallback() {
    if (this.shadowRoot) return;
    const root = this.attachShadow({ mode: "open" });
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(STYLE);
    root.adoptedStyleSheets = [sheet];
    this.status = el("p", { role: "status", className: "hint" });
    this.form = this.#firstQuestions();
    this.result = el("div", {});
    root.append(el("h2", {}, "Find your size"), this.form, this.status, this.result);
    this.#loadOwnSizes();
  }

  get #imperial() { return this.#answers.units === "in"; }
  get #charts() { return (this.getAttribute("charts") ?? "").split(",").map((each) => each.trim()).filter(Boolean); }

  /** Ask the service; gives its document. Raises Error with words for the visitor, and `errors` of a refusal. */
  async #ask(path, body) {
    const sent = { headers: { Authorization: `Bearer ${this.getAttribute("key")}` } };
    if (body) Object.assign(sent, { method: "POST", body: JSON.stringify(body) }, { headers: { ...sent.headers, "Content-Type": "application/json" } });
    let answer;
    try {
      answer = await fetch(new URL(path, this.getAttribute("api")), { ...sent, credentials: "omit", referrerPolicy: "no-referrer", signal: AbortSignal.timeout(15000) });
    } catch {
      throw new Error("We cannot reach our size service just now. Your answers are still here: please try again in a moment.");
    }
    const document_ = await answer.json().catch(() => null);
    if (answer.ok && document_) return document_;
    if (answer.status === 429) throw new Error(`Many people are asking just now. Please try again in ${answer.headers.get("Retry-After") ?? "60"} seconds.`);
    const refused = new Error(answer.status === 422 ? "Something in your answers cannot be read." : "Our size service has a fault just now. Please ask us in the shop.");
    refused.errors = answer.status === 422 ? (document_?.errors ?? []) : [];
    throw refused;
  }

  async #loadOwnSizes() {
    const chart = this.#charts[0];
    if (!chart) return;
    const found = await this.#ask(`/v1/charts/${encodeURIComponent(chart)}`).catch(() => null);
    if (!found) return; // Then only other makers' sizes are offered.
    this.#own = { jacket: found.jackets.map((each) => each.label), trousers: found.trousers.map((each) => each.label) };
    for (const garment of ["jacket", "trousers"]) this.#fillLabels(this.form.elements[`wears_${garment}`], garment);
  }

  #fillLabels(select, garment) {
    const kept = select.value;
    const group = (label, options) => el("optgroup", { label }, options.map(([value, words]) => el("option", { value }, words)));
    const [first, last] = garment === "jacket" ? [34, 54] : [26, 52];
    const inches = [];
    for (let size = first; size <= last; size += garment === "jacket" ? 2 : 1) inches.push([`label:${size}`, `${size}`]);
    const own = this.#own[garment].map((label) => [`own:${label}`, label]);
    select.replaceChildren(el("option", { value: "" }, "I do not know"), ...(own.length ? [group("Our own sizes", own)] : []), group("Another maker's, in inches", inches));
    select.value = kept;
  }

  /* ---------------- the first questions */

  #firstQuestions() {
    const radio = (name, value, words, checked) => el("label", {}, el("input", { type: "radio", name, value, checked }), words);
    const field = (name, words, inputs, hint) => el("div", { className: "field", "data-of": name }, words, inputs, hint ? el("p", { className: "hint", id: `hint-${name}` }, hint) : null,
      el("p", { className: "wrong", id: `wrong-${name}`, hidden: true }));
    const input = (name, more = {}) => el("input", { type: "text", name, id: name, inputMode: "decimal", autocomplete: "off", "aria-describedby": `wrong-${name.split("_")[0]}`, maxLength: 12, ...more });
    const one = (name, id, words, hint) => field(name, el("label", { htmlFor: id }, words), input(id), hint);
    const two = (name, words, ...ids) => field(name, el("span", { className: "name", id: `name-${name}` }, words),
      el("div", { className: "pair", role: "group", "aria-labelledby": `name-${name}` }, ids.flatMap(([id, unit]) => [input(id, { "aria-label": unit === "st" ? "stones" : { ft: "feet", in: "inches", lb: "pounds" }[unit] }), el("span", { "aria-hidden": "true" }, unit)])));
    const label = (garment, words) => field(`wears_${garment}`, el("label", { htmlFor: `wears_${garment}` }, words), el("select", { id: `wears_${garment}`, name: `wears_${garment}` }));
    const form = el("form", { noValidate: true, onsubmit: (event) => this.#answered(event) },
      el("p", {}, "A few questions. Leave out what you do not know; what we do not know, we will say. Nothing of it is kept."),
      el("fieldset", {}, el("legend", {}, "What are you looking for?"),
        el("div", { className: "choices" }, radio("looking_for", "suit", "Jacket and trousers", true), radio("looking_for", "jacket", "A jacket"), radio("looking_for", "trousers", "Trousers"))),
      el("fieldset", { onchange: () => this.#showUnits() }, el("legend", {}, "You count in"),
        el("div", { className: "choices" }, radio("units", "cm", "cm and kg", true), radio("units", "in", "feet, inches and pounds"))),
      el("div", { className: "row", "data-units": "cm" }, one("height", "height_cm", "Height in cm"), one("weight", "weight_kg", "Weight in kg")),
      el("div", { className: "row", "data-units": "in", hidden: true }, two("height", "Height", ["height_ft", "ft"], ["height_in", "in"]), two("weight", "Weight", ["weight_st", "st"], ["weight_lb", "lb"])),
      el("div", { className: "row" }, one("age", "age", "Age in years"), label("jacket", "A jacket size you wear"), label("trousers", "A trouser size you wear")),
      el("p", { className: "hint" }, "A label helps a little. It is not a measure: makers cut the same number inches apart."),
      el("div", { className: "doing" }, el("button", { type: "submit", className: "first" }, "Find my size")));
    // Two sets of fields stand for one question: each has its own place for what is wrong.
    form.querySelectorAll("[data-units=in] .wrong").forEach((each) => { each.id += "_imperial"; });
    form.querySelectorAll("[data-units=in] input").forEach((each) => each.setAttribute("aria-describedby", `wrong-${each.name.split("_")[0]}_imperial`));
    for (const garment of ["jacket", "trousers"]) this.#fillLabels(form.elements[`wears_${garment}`], garment);
    return form;
  }

  #showUnits() {
    const units = this.form.elements.units.value;
    for (const each of this.form.querySelectorAll("[data-units]")) each.hidden = each.dataset.units !== units;
  }

  #tellWrong(input, words) {
    const said = input.getAttribute("aria-describedby") && this.shadowRoot.getElementById(input.getAttribute("aria-describedby").split(" ")[0]);
    input.setAttribute("aria-invalid", words ? "true" : "false");
    if (said && (words || !said.dataset.kept)) Object.assign(said, { textContent: words, hidden: !words });
    if (said) words ? (said.dataset.kept = "1") : null;
  }

  /** What the visitor answered, or null where something is wrong: then it is said beside it, and has the focus. */
  #read() {
    const asked = this.form.elements;
    const units = asked.units.value;
    const inputs = [...this.form.querySelectorAll("input[type=text]")].filter((each) => !each.closest("[hidden]"));
    this.form.querySelectorAll(".wrong").forEach((each) => { delete each.dataset.kept; each.hidden = true; });
    const found = { units, looking_for: asked.looking_for.value };
    const wrong = [];
    for (const each of inputs) {
      each.setAttribute("aria-invalid", "false");
      if (!each.value.trim()) continue;
      const value = typed(each.value);
      const { least, most, words } = FIELDS[each.name];
      if (value >= least && value <= most) found[each.name] = value;
      else wrong.push(each), this.#tellWrong(each, `This should be ${words}.`);
    }
    for (const garment of ["jacket", "trousers"]) found[`wears_${garment}`] = asked[`wears_${garment}`].value;
    const nothing = inputs.every((each) => !each.value.trim()) && !found.wears_jacket && !found.wears_trousers;
    if (nothing) wrong.push(inputs[0]), this.#tellWrong(inputs[0], "Tell us at least one of these: your height is a good start.");
    wrong[0]?.focus();
    return wrong.length ? null : found;
  }

  #answered(event) {
    event.preventDefault();
    const found = this.#read();
    if (!found) return;
    this.#answers = found;
    this.#measured = [];
    this.#skipped = new Set();
    this.#advise();
  }

  /* ---------------- the question to the service */

  #question() {
    const found = this.#answers;
    const readings = [];
    const say = (dimension, value, unit, source = "self_reported") => readings.push({ dimension, value: Math.round(value * 100) / 100, unit, source });
    if (found.height_cm) say("stature", found.height_cm, "cm");
    if (found.height_ft) say("stature", found.height_ft * 12 + (found.height_in ?? 0), "in");
    if (found.weight_kg) say("body_mass", found.weight_kg, "kg");
    if (found.weight_st || found.weight_lb) say("body_mass", (found.weight_st ?? 0) * 14 + (found.weight_lb ?? 0), "lb");
    const wears = [];
    for (const [garment, dimension] of [["jacket", "chest_girth"], ["trousers", "trouser_waist_girth"]]) {
      // A shop's own label may hold a colon itself: only the first one parts.
      const [, whose, label] = /^([^:]*):(.*)$/s.exec(found[`wears_${garment}`] ?? "") ?? [];
      if (whose === "own") wears.push({ garment, chart: this.#charts[0], label, how: "says" });
      if (whose === "label") say(dimension, Number(label), "in", "label");
    }
    // What was taped says more than a label of the same girth.
    const taped = new Set(this.#measured.map((each) => each.dimension));
    return {
      readings: [...readings.filter((each) => !taped.has(each.dimension)), ...this.#measured],
      ...(wears.length ? { wears } : {}), ...(found.age ? { age_years: found.age } : {}),
      ...(this.#charts.length ? { charts: this.#charts } : {}), garments: LOOKING_FOR[found.looking_for], limit: 3,
    };
  }

  async #advise() {
    const asking = ++this.#asking;
    this.status.textContent = "Looking at every size …";
    this.result.setAttribute("aria-busy", "true");
    try {
      const advice = await this.#ask(`/v1/size-advice?units=${this.#answers.units}`, this.#question());
      if (asking !== this.#asking) return;
      this.status.textContent = "";
      this.result.replaceChildren(...this.#shown(advice));
    } catch (error) {
      if (asking !== this.#asking) return;
      this.status.textContent = "";
      const found = (error.errors ?? []).map((each) => el("li", {}, each.detail));
      this.result.replaceChildren(el("div", { className: "part", role: "alert" }, el("h3", { tabIndex: -1 }, "That did not work"), el("p", {}, error.message),
        found.length ? el("ul", { className: "plain" }, found) : null,
        el("div", { className: "doing" }, el("button", { type: "button", className: "first", onclick: () => this.#advise() }, "Try again"))));
    } finally {
      if (asking === this.#asking) this.result.removeAttribute("aria-busy");
    }
    this.result.querySelector("h3")?.focus();
  }

  /* ---------------- the answer */

  #shown(advice) {
    const plan = advice.plans[0];
    const next = this.#nextQuestion(advice);
    if (!plan) return [this.#noPlan(advice, next), next && this.#nextForm(next)].filter(Boolean);
    const garments = LOOKING_FOR[this.#answers.looking_for].filter((each) => plan[each]);
    const places = this.#places(plan);
    return [this.#sizes(advice, plan, garments, next), next ? this.#nextForm(next) : null, this.#why(plan, garments, places), this.#unknown(advice, plan)].filter(Boolean);
  }

  #noPlan(advice, next) {
    const outside = advice.warnings.some((each) => each.code === "outside_model");
    const words = outside
      ? "Our estimates come from men of 17 to 85 years, up to 200 kg. Beyond them we do not guess. With the tape we can still choose a size."
      : "From this we cannot choose a size without guessing.";
    return el("section", { className: "part" }, el("h3", { tabIndex: -1 }, "We cannot say yet"), el("p", {}, words),
      el("p", {}, next ? "The question below tells us most." : "Please come by: a fitter takes the measures in five minutes, and you may hold the tape yourself."), this.#taped(), this.#warnings(advice));
  }

  #sizes(advice, plan, garments, next) {
    const { best: p, within_one_size: near } = plan.confidence.together;
    const sure = p >= 0.8 ? "We are sure" : p >= 0.5 ? "Likely, not certain" : p >= 0.2 ? "A fair guess, not more" : "Only a first guess";
    const what = garments.length === 2 ? "this very pair of sizes" : "this very size";
    const others = advice.plans.slice(1).filter((each) => each.confidence.together.best >= 0.02).map((each) => `${garments.map((garment) => each[garment].label).join(" with ")} (${share(each.confidence.together.best)} in 100)`);
    const list = (found) => found.length ? el("p", {}, `Also possible: ${found.join(", ")}.`) : null;
    return el("section", { className: "part" },
      el("h3", { tabIndex: -1 }, `Your size: ${garments.map((garment) => `${garment} ${plan[garment].label}`).join(", ")}`),
      el("ul", { className: "sizes", "aria-hidden": "true" }, garments.map((garment) => el("li", {}, sentence(garment), el("strong", {}, plan[garment].label)))),
      el("p", {}, el("strong", {}, `${sure}. `), `Of 100 men who answer as you did, ${what} is the best for ${share(p)}; for ${share(near)} the best is this or one size away.`, next ? " One more measure makes it surer: see below." : ""),
      this.#meter(p), list(others), this.#taped(), this.#warnings(advice), this.#work(plan),
      el("div", { className: "doing" },
        el("button", { type: "button", className: "first", onclick: () => this.#take(plan, garments) }, "Take this size"),
        el("button", { type: "button", onclick: () => this.#again() }, "Change my answers")));
  }

  #meter(p) {
    const bar = el("i");
    bar.style.width = `${Math.max(2, Math.round(p * 100))}%`;
    return el("div", { className: "meter", "aria-hidden": "true" }, bar);
  }

  /** What he measured, each to be taken anew. */
  #taped() {
    if (!this.#measured.length) return null;
    const anew = (dimension) => {
      this.#measured = this.#measured.filter((each) => each.dimension !== dimension);
      this.#anew = dimension;
      this.#advise();
    };
    return el("div", {}, el("h4", {}, "You measured"), el("ul", { className: "plain" }, this.#measured.map(({ dimension, value, unit, repeats }) =>
      el("li", {}, `${sentence(MEASURES[dimension].name)}: ${[value, ...(repeats ?? [])].join(" and ")} ${unit} `,
        el("button", { type: "button", className: "small", "aria-label": `Measure the ${MEASURES[dimension].name} again`, onclick: () => anew(dimension) }, "again")))));
  }

  #warnings(advice) {
    const found = advice.warnings.filter((each) => !NOT_SHOWN.has(each.code) && each.code !== "outside_model");
    return found.length ? el("div", { className: "notice" }, el("p", {}, el("strong", {}, "Please look again:")), el("ul", { className: "plain" }, found.map((each) => el("li", {}, sentence(each.text))))) : null;
  }

  #workWords(each) {
    const side = { left: ", left", right: ", right" }[each.side] ?? "";
    const doing = WORK[each.alteration] ?? sentence(each.alteration.replaceAll("_", " "));
    return each.alteration === "trouser_hem" ? doing : `${doing}, about ${each.amount.text}${COUNTED[each.basis] ?? ""}${side}`;
  }

  #work(plan) {
    if (!plan.alterations.length) return el("p", {}, "Nothing to alter, as far as we can tell from here.");
    const minor = plan.alterations.reduce((sum, each) => sum + each.price.minor, 0);
    const items = plan.alterations.map((each) => el("li", {}, `${this.#workWords(each)}: ${money(each.price)}`,
      each.subject_to_inlay ? ". Only if there is cloth enough in the seam; our tailor looks first" : "", each.seen ? "" : ". Reckoned, not measured: looked at before anything is cut"));
    return el("div", {}, el("h4", {}, "What our workroom would do"), el("ul", { className: "plain" }, items),
      el("p", {}, `In all ${money({ ...plan.alterations[0].price, minor })}, ${plan.minutes} minutes of work. Nothing is sewn before you have had it on.`));
  }

  #places(plan) {
    const order = Object.keys(PLACES);
    const at = (each) => order.indexOf(`${each.garment}/${each.place}`);
    return [...plan.places].sort((one, other) => at(one) - at(other)).map((each) => {
      const [name, x, y] = PLACES[`${each.garment}/${each.place}`] ?? [sentence(`${each.place.replaceAll("_", " ")} of the ${each.garment}`), 120, 300];
      const kind = each.misfit ? "wrong" : each.alteration ? "work" : each.seen || within(each) >= LIKELY[1][0] ? "right" : "maybe";
      return { ...each, name, x, y, kind };
    });
  }

  #placeWords(each) {
    const imperial = this.#imperial;
    const tight = each.verdict === "too_little";
    const state = each.kind === "right" || each.kind === "maybe" ? (each.seen ? "as it should be" : LIKELY.find(([least]) => within(each) >= least)[1])
      : each.kind === "work" ? (each.alteration === "trouser_hem" ? "sold uncut, hemmed to you" : `${tight ? "too little" : "too much"} by ${length(each.residual_mm, imperial)} from the ideal: altered`)
      : `${tight ? "too little" : "too much"}, and no needle mends it in this size`;
    return [el("strong", {}, `${each.name}: `), `${state}. `, el("span", { className: "hint" }, `You about ${length(each.body_mm, imperial)}, give or take ${length(Math.max(each.sd_mm, 4), imperial)}${each.seen ? "" : ", estimated"}; garment ${length(each.garment_mm, imperial)}.`)];
  }

  #why(plan, garments, places) {
    const counts = (kind) => places.filter((each) => each.kind === kind);
    const named = (found) => found.map((each) => each.name.toLowerCase()).join(", ");
    const said = `The ${garments.join(" and ")} on a man from the front. Right, or likely so: ${named(counts("right")) || "nothing"}. Unsure: ${named(counts("maybe")) || "nothing"}. Altered: ${named(counts("work")) || "nothing"}. ${counts("wrong").length ? `Not right in this size: ${named(counts("wrong"))}.` : ""}`;
    const key = [["right", "right, or likely so"], ["maybe", "we are not sure"], ["work", "altered"], ["wrong", "not right in this size"]].map(([kind, words]) => el("li", {}, small(kind), words));
    return el("section", { className: "part" }, el("h3", {}, "Why this size"),
      el("div", { className: "look" }, picture(places, garments, said.trim()),
        el("div", {}, el("ol", { className: "places" }, places.map((each, at) => el("li", {}, small(each.kind, at + 1), el("p", {}, ...this.#placeWords(each))))), el("ul", { className: "key" }, key))));
  }

  #unknown(advice, plan) {
    const guessed = plan.places.filter((each) => !each.seen).length;
    const fits = share(plan.confidence.together.fits_altered);
    return el("section", { className: "part" }, el("h3", {}, "What we do not know"), el("ul", { className: "plain" },
      guessed ? el("li", {}, `At ${guessed} of ${plan.places.length} places you were not measured. We reckon them from what you told us, and men of one height and weight differ.`) : null,
      el("li", {}, `For ${fits} of 100 men like you everything is right once altered as above. For the others the fitter finds something more.`),
      el("li", {}, "How you stand. A stoop, one lower shoulder or one longer arm is only seen with the garment on."),
      el("li", {}, "Whether you like it close or easy: we took the usual ease."),
      advice.warnings.some((each) => each.code === "outside_model") ? el("li", {}, "You are beyond the men that our estimates come from (17 to 85 years, up to 200 kg): only what was measured counts.")
        : el("li", {}, "The estimates come from surveys of American men. You may be built otherwise.")),
      el("p", { className: "hint" }, "Nothing you typed is kept, here or with us."));
  }

  /* ---------------- the next best question */

  #nextQuestion(advice) {
    const anew = this.#anew;
    this.#anew = null;
    if (anew) return anew;
    const worth = (advice.plans[0]?.ranking.expected_cost.minor ?? 0) / 50;
    return advice.next_measures.find((each) => each.dimension in MEASURES && !this.#skipped.has(each.dimension) && each.ranking.gain.minor >= worth)?.dimension;
  }

  #nextForm(dimension) {
    const { name, how, at } = MEASURES[dimension];
    const unit = this.#answers.units;
    const field = (id, words, hint) => el("div", { className: "field" }, el("label", { htmlFor: id }, words),
      el("input", { type: "text", id, name: id, inputMode: unit === "cm" ? "decimal" : "text", autocomplete: "off", maxLength: 12, "aria-describedby": `wrong-${id}` }),
      hint ? el("p", { className: "hint" }, hint) : null, el("p", { className: "wrong", id: `wrong-${id}`, hidden: true }));
    const unitWords = unit === "cm" ? "cm" : "inches";
    return el("form", { className: "next", noValidate: true, onsubmit: (event) => this.#measuredNow(event, dimension) },
      el("h3", {}, `The measure that tells us most: ${name}`),
      el("div", { className: "how" }, tape(at), el("div", {}, el("p", {}, how),
        el("div", { className: "row" }, field("first", `${sentence(name)} in ${unitWords}`, unit === "in" ? "As on the tape: 39 1/2 or 39.5" : null), field("second", "Once more, if you like", "Two readings count more than one.")),
        el("div", { className: "doing" }, el("button", { type: "submit", className: "first" }, "Use this measure"),
          el("button", { type: "button", onclick: () => { this.#skipped.add(dimension); this.#advise(); } }, "I cannot measure that")))));
  }

  #measuredNow(event, dimension) {
    event.preventDefault();
    const { first, second } = event.target.elements;
    const unit = this.#answers.units;
    const [least, most] = unit === "cm" ? [15, 230] : [6, 90];
    const read = (input, needed) => {
      const value = typed(input.value);
      const right = input.value.trim() ? value >= least && value <= most : !needed;
      this.#tellWrong(input, right ? "" : `This should be a number between ${least} and ${most} ${unit}.`);
      return right ? value : undefined;
    };
    for (const each of [first, second]) delete this.shadowRoot.getElementById(`wrong-${each.id}`).dataset.kept;
    const values = [read(first, true), read(second, false)];
    if (values.includes(undefined)) { (values[0] === undefined ? first : second).focus(); return; }
    const round = (value) => Math.round(value * 1000) / 1000;
    this.#measured = [...this.#measured.filter((each) => each.dimension !== dimension),
      { dimension, value: round(values[0]), unit, source: "self_measured", ...(Number.isNaN(values[1]) ? {} : { repeats: [round(values[1])] }) }];
    this.#advise();
  }

  #take(plan, garments) {
    const label = (garment) => (garments.includes(garment) ? plan[garment].label : null);
    const detail = { jacket: label("jacket"), trousers: label("trousers"), alterations: plan.alterations.map((each) => each.alteration), how_sure: plan.confidence.together.best };
    this.status.textContent = `Taken: ${garments.map((garment) => `${garment} ${plan[garment].label}`).join(", ")}.`;
    this.dispatchEvent(new CustomEvent("size-chosen", { bubbles: true, composed: true, detail }));
  }

  #again() {
    this.result.replaceChildren();
    const first = this.form.querySelector("input[type=text]:not([hidden] *)");
    first.focus();
    this.form.scrollIntoView({ block: "start" });
  }
}

customElements.define("size-adviser", SizeAdviser);
