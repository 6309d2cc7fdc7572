// The drawn customer from three sides. A tap takes the nearest point; each point is also a button in the list beside it.

import { redraw, s } from "../dom.js";
import { LINES, PLACES } from "./figure-lines.js";

export const VIEWS = { front: "Front", side: "Side", back: "Back" };
const BOX = { front: [-72, -4, 144, 392], side: [-60, -4, 120, 392], back: [-72, -4, 144, 392] };
const REACH = 26;

// Where a point is: left and right of a sided one. From behind their left is on the left of the page.
export function spots(point) {
  const [view, x, y] = PLACES[point.point] ?? ["side", 0, 116];
  // Of what is told by the odd side there is one judgement: right, or which of the two.
  if (["none", "odd_one"].includes(point.sides)) return [{ point, side: null, view, x, y }];
  const lefts = view === "front" ? 1 : -1;
  return ["left", "right"].map((side) => ({ point, side, view, x: side === "left" ? lefts * Math.abs(x) : -lefts * Math.abs(x), y }));
}

export class FitFigure extends HTMLElement {
  // { view, spots, markOf(spot) → {mark, words}, chosen, ontake(spot), waistcoat }
  show(asked) {
    this.asked = asked;
    const { view, markOf, chosen } = asked;
    const [x, y, width, height] = BOX[view];
    const picture = s("svg", { viewBox: `${x} ${y} ${width} ${height}`, class: "figure", role: "img",
      "aria-label": `The customer, ${VIEWS[view].toLowerCase()}. Every point is in the list.` },
      LINES[view].filter(([, , when]) => !when.includes("waistcoat") || asked.waistcoat).flatMap(([kind, mirrored, , d]) =>
        [s("path", { class: kind, d }), mirrored && s("path", { class: kind, d, transform: "scale(-1 1)" })]),
      view !== "side" && [s("text", { x: view === "front" ? -58 : 58, y: 6, class: "which" }, "R"), s("text", { x: view === "front" ? 58 : -58, y: 6, class: "which" }, "L")],
      asked.spots.filter((each) => each.view === view).map((each) => {
        const { mark } = markOf(each);
        const here = chosen && chosen.point.point === each.point.point && (chosen.side === each.side);
        return s("g", { transform: `translate(${each.x} ${each.y})`, class: `spot ${mark}${here ? " here" : ""}` }, shape(mark), here && s("circle", { class: "ring", r: 7 }));
      }));
    picture.addEventListener("click", (event) => this.#tapped(picture, event));
    redraw(this, picture);
  }

  #tapped(picture, event) {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(picture.getScreenCTM().inverse());
    const near = this.asked.spots.filter((each) => each.view === this.asked.view)
      .map((each) => [Math.hypot(each.x - at.x, each.y - at.y), each]).sort((one, other) => one[0] - other[0])[0];
    if (near && near[0] <= REACH) this.asked.ontake(near[1]);
  }
}

// As on the paper: a circle is right, a triangle down too little, one up too much, a diamond still worn, a cross not looked at.
export function shape(mark) {
  if (mark === "right") return s("circle", { r: 4 });
  if (mark === "too_little") return s("path", { d: "M-4.8,-3.6 L4.8,-3.6 L0,4.8 Z" });
  if (mark === "too_much") return s("path", { d: "M-4.8,3.6 L4.8,3.6 L0,-4.8 Z" });
  if (mark === "watch") return s("path", { d: "M0,-5 L5,0 L0,5 L-5,0 Z" });
  if (mark === "kept") return s("circle", { r: 4, class: "kept" });
  return s("path", { class: "cross", d: "M-2.6,0 L2.6,0 M0,-2.6 L0,2.6" });
}

export const markIcon = (mark) => s("svg", { viewBox: "-7 -7 14 14", class: `icon spot ${mark}`, "aria-hidden": "true" }, shape(mark));

customElements.define("fit-figure", FitFigure);
