// A code from the web shop: what a visitor said there, and the sizes that they chose. The fitter goes on from it.

import { button, h } from "../dom.js";
import { bring } from "./mirror-advice.js";
import { DIMENSIONS } from "./fitting.js";
import { line } from "../line.js";
import { camera } from "../scan.js";
import { plain, sizes } from "../wording.js";

const CODE = /^[A-Za-z2-7]{4}-?[A-Za-z2-7]{4}$/;
export const isCode = (words) => CODE.test(words.trim());

export function codeForm(room) {
  if (room.fitting.code) return null;
  const asked = (event) => { event.preventDefault(); goOnFrom(room, event.target.querySelector("input").value); };
  return h("details", { class: "from-code" }, h("summary", {}, "They have a code from the web shop"),
    h("form", { class: "doing", onsubmit: asked },
      h("label", {}, "Code ", h("input", { type: "text", maxlength: 12, autocomplete: "off", autocapitalize: "characters", spellcheck: "false", "data-at": "code" })),
      h("button", { type: "submit", class: "first" }, "Go on from it"), camera((code) => goOnFrom(room, code))));
}

export async function goOnFrom(room, words) {
  const { fitting } = room;
  try {
    if (!isCode(words)) throw new Error("A code has eight letters and digits, such as YG42-EV62.");
    const kept = (await line.get(`/v1/kept-advice/${encodeURIComponent(words.trim().toUpperCase())}`)).body;
    const { readings = [], wish = "usual", age_years, wears, posture } = kept.asked;
    for (const { dimension, value, unit, source = "self_reported" } of readings) fitting.reading(dimension).said = { value: String(value), unit, source };
    const told = Object.entries({ age_years, wears, posture }).filter(([, each]) => each !== undefined && each !== null);
    Object.assign(fitting, { wish, told: Object.fromEntries(told), set: null, code: { code: kept.code, chosen: await chosenIn(kept) } });
    fitting.keep();
    room.said = "";
    room.go("advice");
  } catch (problem) {
    room.said = problem.message;
    room.draw();
  }
}

// The sizes of the plan that they chose; none where the chart or a price is another by now, and it is advised anew.
async function chosenIn(kept) {
  try {
    const { garments } = (await line.ask("POST", "/v1/alteration-quotes", { from_advice: kept.advice_id })).body;
    return Object.fromEntries(garments.map((each) => [each.garment, { chart: each.chart, label: each.label }]));
  } catch (problem) {
    if (!problem.problem) throw problem;
    return null;
  }
}

export function codeSaid(room) {
  const { code, told } = room.fitting;
  if (!code) return null;
  const said = DIMENSIONS.map(([name, called]) => [called, room.fitting.readings[name]?.said]).filter(([, each]) => each).map(([called, each]) => `${called} ${each.value} ${each.unit}`);
  const wears = (told.wears ?? []).map((each) => `wears ${[each.garment, each.label ?? each.size].filter(Boolean).map(plain).join(" ")}`);
  return h("section", { class: "paper", "aria-label": "From the web shop" }, h("h2", {}, `From the web shop, ${code.code}`),
    h("p", {}, "They said: ", [...said, ...(told.age_years ? [`${told.age_years} years`] : []), ...wears].join(", ") || "nothing that is taped here", ". What you tape counts before it."),
    code.chosen ? [h("p", {}, "They chose ", h("strong", {}, sizes(code.chosen)), "."), button(`Bring ${sizes(code.chosen)}`, () => bring(room, code.chosen), { class: "first", "data-at": "chosen" })]
      : h("p", { class: "slip" }, "What they chose is another by now: a size or a price has changed. It is advised anew."));
}
