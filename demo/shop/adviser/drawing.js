// Elements, made so that text is only ever text; and drawings: the customer from the front, the marks on them, where the tape goes, a code.

const SVG = "http://www.w3.org/2000/svg";
const ATTRIBUTE_ONLY = /^(aria-|role$|for$|list$|part$|dir$|data-|inert$)/;

const kept = (inside) => inside.flat(Infinity).filter((each) => each !== null && each !== undefined && each !== false);

/** An element with its properties and what is in it; `on…` is a listener, what is null, undefined or false is left out. */
export function el(name, given = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key in made && !ATTRIBUTE_ONLY.test(key)) made[key] = value;
    else made.setAttribute(key, value);
  }
  made.append(...kept(inside));
  return made;
}

/** A part of a drawing, with its attributes. */
export function draw(name, given = {}, ...inside) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  made.append(...kept(inside));
  return made;
}

/** Where each place is on the figure, in the order in which it is read down. */
export const AT = {
  "jacket/shoulder": [88, 92], "jacket/back_width": [153, 108], "jacket/chest": [93, 126], "jacket/waist": [95, 166], "jacket/seat": [93, 208],
  "jacket/sleeve": [54, 190], "jacket/back_length": [120, 228], "trousers/waist": [147, 190], "trousers/seat": [149, 222], "trousers/thigh": [145, 272],
  "trousers/inside_leg": [141, 352],
};

const SHAPES = {
  right: (x, y, r) => [draw("circle", { cx: x, cy: y, r }), 4],
  maybe: (x, y, r) => [draw("circle", { cx: x, cy: y, r }), 4],
  work: (x, y, r) => [draw("path", { d: `M${x} ${y - r - 3} L${x + r + 3} ${y} L${x} ${y + r + 3} L${x - r - 3} ${y} Z` }), 4],
  wrong: (x, y, r) => [draw("path", { d: `M${x} ${y - r - 3} L${x + r + 3} ${y + r} L${x - r - 3} ${y + r} Z` }), 7],
};

/** A mark: right is round, unsure round and broken, altered a diamond, wrong a triangle. */
function mark(kind, number, x = 14, y = 14, r = 11) {
  const [shape, down] = SHAPES[kind](x, y, r);
  const text = draw("text", { x, y: y + down });
  text.textContent = number;
  return draw("g", { class: `mark ${kind}` }, shape, text);
}

export const smallMark = (kind, number) => draw("svg", { viewBox: "-2 -2 32 32", "aria-hidden": "true", focusable: "false" }, mark(kind, number));

/** One half of what is alike on both sides, and its mirror image. */
const both = (...halves) => halves.flatMap(([d, name]) => [draw("path", { d, class: name }), draw("path", { d, class: name, transform: "translate(240 0) scale(-1 1)" })]);

const BARE = () => [
  draw("path", { d: "M110 58 h20 v24 h-20 Z", class: "skin" }), draw("ellipse", { cx: 120, cy: 40, rx: 18, ry: 24, class: "skin" }),
  draw("path", { d: "M102 37 Q101 14 120 13 Q139 14 138 37 Q134 25 120 25 Q106 25 102 37 Z", class: "hair" }),
  ...both(["M93 404 Q82 418 78 424 L108 424 L112 404 Z", "hair"], ["M56 208 q-8 12 -2 24 q10 4 12 -8 l2 -14 Z", "skin"]),
];

/** A man in what was advised; what was not is pale. */
function dressed(garments) {
  const jacket = garments.includes("jacket") ? "cloth" : "other";
  const legs = garments.includes("trousers") ? "cloth" : "other";
  return [
    ...BARE(), ...both(["M80 182 L120 182 L120 246 L113 406 L92 406 Q82 318 80 182 Z", legs]),
    draw("path", { d: "M112 74 L128 74 L132 100 L120 152 L108 100 Z", class: "shirt" }), draw("path", { d: "M117 82 h6 l2 8 l-2 50 l-3 10 l-3 -10 l-2 -50 Z", class: "tie" }),
    ...both(["M76 92 Q62 98 59 134 L48 206 L66 211 L80 150 Z", jacket], ["M111 74 Q104 80 90 84 Q74 89 73 104 L80 152 Q77 186 74 238 Q100 244 121 240 L121 152 Q112 118 111 74 Z", jacket],
      ["M111 74 L99 96 L107 102 L103 108 L120 152", "seam"], ["M84 200 h20 v5 h-20 Z", "seam"]),
  ];
}

const inShirt = () => [
  ...BARE(), ...both(["M80 186 L121 186 L121 246 L113 406 L92 406 Q80 318 80 186 Z", "other"], ["M78 92 Q64 98 61 134 L50 206 L65 210 L82 148 Z", "shirt"],
    ["M110 74 Q104 82 92 85 Q76 90 76 104 L83 150 Q81 170 80 194 L121 194 L121 84 Z", "shirt"], ["M80 188 L121 188 L121 196 L80 196 Z", "hair"]),
];

/** The plan as a picture: the man with a mark at each place that has a number. `said` is the same in words. */
export function figure(places, garments, said) {
  const marks = places.filter((each) => each.at).map((each) => mark(each.kind, each.number, ...each.at));
  return draw("svg", { viewBox: "30 6 180 424", role: "img", "aria-label": said, class: "figure", part: "figure" }, dressed(garments), marks);
}

const ring = (cy, rx, cx = 120, ry = 7) => draw("ellipse", { cx, cy, rx, ry, class: "band" });
const along = (d) => draw("path", { d, class: "band" });
const TAPES = {
  chest_girth: () => ring(122, 46), waist_girth: () => ring(170, 43), trouser_waist_girth: () => ring(190, 44), hip_girth: () => ring(216, 46),
  thigh_girth: () => ring(262, 19, 99, 6), inside_leg_length: () => along("M120 250 V424"), arm_length: () => along("M76 94 Q60 110 57 140 L49 206"),
};
const SHOWN = { thigh_girth: "40 170 160 170", inside_leg_length: "30 170 180 260" };

/** Where the tape goes. What is not drawn, only somebody else takes well: the shop does. */
export const MEASURED_ALONE = Object.keys(TAPES);
export const tapeAt = (dimension) =>
  draw("svg", { viewBox: SHOWN[dimension] ?? "30 6 180 240", "aria-hidden": "true", focusable: "false", class: "figure" }, inShirt(), TAPES[dimension]());

/** A QR code of rows of 0 and 1, with the quiet zone that scanners need. */
export function codePicture(rows, said) {
  const dark = rows.flatMap((row, y) => [...row].map((cell, x) => (cell === "1" ? `M${x + 4} ${y + 4}h1v1h-1z` : ""))).join("");
  return draw("svg", { viewBox: `0 0 ${rows.length + 8} ${rows.length + 8}`, role: "img", "aria-label": said, class: "qr", "shape-rendering": "crispEdges" }, draw("path", { d: dark, fill: "#000000" }));
}
