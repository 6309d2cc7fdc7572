// What the bench notes on a line: the inlay that it found inside the seam, and that the cloth is cut.

import { button, choices, h } from "./dom.js";
import { stepping } from "./line-changes.js";
import { inches } from "./wording.js";

const COUNTED = { per_seam: "at each seam, beyond what stays sewn", girth: "all that there is, seams and all" };

export const noteButton = (sheet, each) => button("Note", () => {
  sheet.noting = { number: each.number, steps: 8, counted: "per_seam" };
  sheet.draw();
  sheet.querySelector(".noting button")?.focus();
}, { "data-at": `note ${each.number}`, "aria-label": `Note on line ${each.number}` });

export function notePanel(sheet, each) {
  const { noting } = sheet;
  if (noting?.number !== each.number) return null;
  const send = (words, found) => sheet.change(`${words}, line ${each.number} of ${sheet.order.number}`, `/v1/orders/${sheet.order.id}/bench-notes?units=in`, { lines: [{ number: each.number, ...found }] });
  return h("div", { class: "asking noting", role: "group", "aria-label": `Note on line ${each.number}` },
    (each.subject_to_inlay || each.inlay_seen) && [h("p", {}, "How much cloth is inside the seam?"),
      stepping("inlay", noting.steps, (to) => { noting.steps = to; sheet.draw(); }, 0),
      choices("Counted", Object.entries(COUNTED), noting.counted, (counted) => { noting.counted = counted; sheet.draw(); }),
      button("Keep the inlay", () => send("inlay found", { inlay_found: inches(noting.steps), inlay_basis: noting.counted }), { class: "first", "data-at": "keep inlay" })],
    h("div", { class: "doing" }, !each.cloth_cut && button("The cloth is cut", () => send("cut", { is_cut: true }), { "data-at": "is cut" }), button("Leave it", () => { sheet.noting = null; sheet.draw(); }, { "data-at": "leave note" })));
}
