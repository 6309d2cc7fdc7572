// What to bring: plans, best first, with how sure they are, and what to tape next.

import { button, choices, h } from "../dom.js";
import { codeSaid } from "./mirror-code.js";
import { DIMENSIONS } from "./fitting.js";
import { line } from "../line.js";
import { recordSet } from "./mirror.js";
import { inHundred, money, plain, sizes, workLine } from "../wording.js";

export function bring(room, plan) {
  const { fitting } = room;
  const first = plan.jacket ?? plan.trousers ?? plan.waistcoat;
  const worn = Object.fromEntries(["jacket", "trousers", "waistcoat"].filter((each) => plan[each]).map((each) => [each, plan[each].label]));
  // What was seen was seen on the garment that comes off; of the one that stays on it still holds.
  const stays = (point) => room.points?.find((each) => each.point === point)?.garment;
  fitting.before = [];
  fitting.seen = fitting.chart === first.chart ? fitting.seen.filter((each) => fitting.worn[stays(each.point)] === worn[stays(each.point)]) : [];
  Object.assign(fitting, { worn, chart: first.chart, check: null, takeUp: [] });
  recordSet(room);
  room.go("look");
}

export function drawAdvice(room) {
  const { advice, fitting } = room;
  if (!fitting.isKnown) {
    return h("section", { class: "advice" }, h("h2", {}, "Nothing taped yet"),
      h("p", {}, "Tape chest, trouser waist and height first; or say what they have on."), wornByHand(room));
  }
  if (!advice) return h("section", { class: "advice" }, codeSaid(room), h("h2", {}, "Weighing the sizes…"), wornByHand(room));
  const next = advice.next_measures[0];
  const called = DIMENSIONS.find(([name]) => name === next?.dimension);
  return h("section", { class: "advice", "aria-label": "Advice" },
    codeSaid(room),
    choices("How they like it", [["close", "close"], ["usual", "as usual"], ["easy", "easy"]], fitting.wish,
      (wish) => { fitting.wish = wish; fitting.keep(); room.draw(); room.listen(); }),
    advice.serves?.serves === "no" && h("p", { class: "slip" }, "No size here serves. ", advice.serves.instead.map((each) => each.words).join(" ")),
    h("ol", { class: "plans" }, advice.plans.map((plan, at) => h("li", {},
      h("h2", {}, sizes(plan)),
      h("p", {}, `Best of all sizes for ${inHundred(plan.confidence.together.best)} such customers`,
        plan.confidence.together.within_one_size !== null && `; this or a neighbour for ${inHundred(plan.confidence.together.within_one_size)}`, "."),
      h("p", {}, plan.alterations.length ? plan.alterations.map((each) => `${workLine(each)}${each.seen ? "" : ", to be looked at"}`).join("; ") : "No work expected.",
        plan.alterations.length > 0 && `. ${money(plan.price)}, ${plan.minutes} minutes.`),
      button(`Bring ${sizes(plan)}`, () => bring(room, plan), { class: at ? "" : "first" })))),
    next && h("p", {}, `Most worth measuring: ${called?.[1] ?? plain(next.dimension)}. `,
      button(`Tape: ${called?.[1] ?? plain(next.dimension)}`, () => { Object.assign(room, { at: next.dimension, field: "value" }); room.go("tape"); })),
    room.warnings.map((each) => h("p", { class: "slip" }, each.text)),
    wornByHand(room));
}

// They came in something else: whichever sizes of the chart are on them.
function wornByHand(room) {
  const { fitting } = room;
  if (room.rack === undefined) {
    room.rack = null;
    loadRack(room).catch(() => { room.rack = undefined; });
  }
  const chart = room.rack?.find((each) => each.chart === (room.handChart ?? room.rack[0].chart));
  if (!chart) return null;
  const picked = (room.hand ??= { ...fitting.worn });
  const select = (garment, labels) => h("label", {}, `${garment} `, h("select", { "data-at": `hand ${garment}`,
    onchange: (event) => { picked[garment] = event.target.value; room.draw(); } }, h("option", { value: "" }, "none"),
    labels.map((each) => h("option", { value: each.label, selected: each.label === picked[garment] }, each.label))));
  const plan = Object.fromEntries(["jacket", "trousers", "waistcoat"].filter((each) => picked[each]).map((each) => [each, { chart: chart.chart, label: picked[each] }]));
  return h("details", { class: "by-hand" }, h("summary", {}, "They have something else on"),
    room.rack.length > 1 && h("label", {}, "range ", h("select", { "data-at": "hand chart", onchange: (event) => { room.handChart = event.target.value; room.hand = {}; room.draw(); } },
      room.rack.map((each) => h("option", { value: each.chart, selected: each === chart }, each.title)))),
    select("jacket", chart.jackets), select("trousers", chart.trousers), chart.waistcoats.length > 0 && select("waistcoat", chart.waistcoats),
    button("Look at these", () => bring(room, plan), { disabled: !Object.keys(plan).length }));
}

async function loadRack(room) {
  const listed = (await line.kept("/v1/charts")).body.charts;
  const own = listed.filter((each) => !each.chart.startsWith("reference"));
  room.rack = await Promise.all((own.length ? own : listed.slice(0, 1)).map(async (each) => (await line.kept(`/v1/charts/${encodeURIComponent(each.chart)}`)).body));
  room.draw();
}
