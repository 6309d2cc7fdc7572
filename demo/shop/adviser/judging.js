// What the service's answer means to a visitor: how sure, between which sizes, what is wrong where. No words and no page.

export const GARMENTS = { suit: ["jacket", "trousers"], jacket: ["jacket"], trousers: ["trousers"] };

// Where a size, once altered, fits fewer than this share of the bodies that a visitor may have, none is named.
const FITS_LEAST = 0.05;
const NO_DOUBT = 0.9;
// A neighbour that is the best for a quarter as many as ours is not worth a word.
const NEIGHBOUR = 0.25;
const LONG = new Set(["sleeve", "back_length", "inside_leg"]);
const MOST_SHOWN = 6;
// Chest less waist: below three inches a cut is portly, below five full, above seven athletic (common practice, no source).
const PORTLY_MM = 76;
const FULL_MM = 127;
const ATHLETIC_MM = 178;

/** How sure a garment's size is: none serves, open (too little is known), guess, between, fairly or sure. */
export function level(plan, garment) {
  const confidence = plan.confidence[garment];
  // Nobody is sent away for what is only estimated, unless there is hardly a doubt of it.
  const isWrong = (each) => each.garment === garment && (each.p_misfit >= NO_DOUBT || (each.seen && each.p_misfit >= 0.5));
  if (confidence.serves === "no") return plan.places.some(isWrong) ? "none" : "open";
  if (confidence.fits_altered < FITS_LEAST) return "open";
  if (confidence.best >= 0.8) return "sure";
  if (confidence.best >= 0.5) return "fairly";
  return confidence.within_one_size >= 0.5 ? "between" : "guess";
}

/** The sizes of a chart in the length class of one of them, smallest first; empty where the chart is not known. */
export function row(chart, garment, label) {
  const sizes = chart ? { jacket: chart.jackets, trousers: chart.trousers }[garment] : [];
  const chosen = sizes.find((each) => each.label === label);
  return chosen ? sizes.filter((each) => each.length_class === chosen.length_class).sort((one, other) => one.body.mm - other.body.mm) : [];
}

/** The sizes next to ours that may be the visitor's, as {low, high}, each one of the chart or undefined. */
export function neighbours(advice, garment, sizes) {
  const ours = advice.plans[0];
  const at = sizes.findIndex((each) => each.label === ours[garment].label);
  const best = (size) => advice.plans.find((plan) => plan[garment]?.label === size.label)?.confidence[garment].best;
  const may = (size) => size && (best(size) ?? Infinity) >= NEIGHBOUR * ours.confidence[garment].best;
  return { low: may(sizes[at - 1]) ? sizes[at - 1] : undefined, high: may(sizes[at + 1]) ? sizes[at + 1] : undefined };
}

/** How likely a place is right as it is sold: a normal, by a logistic that is within 1 in 100 of it. */
function within({ residual_mm, sd_mm, tolerance_mm: [low, high] }) {
  const below = (edge) => 1 / (1 + Math.exp(-1.702 * ((edge - residual_mm) / Math.max(sd_mm, 0.1))));
  return below(high) - below(low);
}

/** What is amiss at a place: tight, wide, short or long. */
export const fault = ({ place, residual_mm }) => (LONG.has(place) ? (residual_mm < 0 ? "short" : "long") : residual_mm < 0 ? "tight" : "wide");

const KINDS = ["wrong", "work", "maybe", "right"];

/** The places of a plan, what matters most first: each with its kind (wrong, work, maybe, right) and its number. */
export function places(plan) {
  const kind = (each) => (each.misfit ? "wrong" : each.alteration ? "work" : each.seen || within(each) >= 0.6 ? "right" : "maybe");
  const found = plan.places.map((each) => ({ ...each, kind: kind(each), key: `${each.garment}_${each.place}` }));
  found.sort((one, other) => KINDS.indexOf(one.kind) - KINDS.indexOf(other.kind) || other.p_misfit - one.p_misfit);
  return found.map((each, at) => ({ ...each, number: at + 1, shown: at < MOST_SHOWN }));
}

/** The cut that another drop means, portly, full or athletic, and whether it is bought in; undefined where it has no such name. */
export function cut(drop) {
  const named = !drop ? undefined : drop.drop.mm < PORTLY_MM ? "portly" : drop.drop.mm < FULL_MM ? "full" : drop.drop.mm > ATHLETIC_MM ? "athletic" : undefined;
  return named && !drop.charts.length ? `${named}_bought` : named;
}

/** What to ask for where no size serves, as keys of words with their facts. */
export function instead(serves) {
  const found = [];
  const named = cut(serves.other_drop);
  if (named) found.push([`instead_${named}`, {}]);
  for (const each of serves.instead) {
    if (each.found_in === "made_to_measure") found.push(["instead_made", each]);
    else if (each.change === "length_class") found.push(["instead_length", each]);
    else if (each.change === "cut" && !named) found.push(["instead_cut", each]);
    else if (each.change === "stock" || each.change === "size") found.push(["instead_stock", each]);
  }
  return found;
}

/** What the quote is asked from: the plan's sizes and work, the hem still to be pinned. */
export function quoteOf(plan, garments) {
  const lines = plan.alterations.filter((each) => each.alteration !== "trouser_hem").map(({ alteration, amount, basis, direction, side }) =>
    Object.fromEntries(Object.entries({ alteration, amount: amount && { value: amount.mm, unit: "mm" }, basis, direction, side }).filter(([, value]) => value !== null)));
  const hem = plan.alterations.some((each) => each.alteration === "trouser_hem");
  return { garments: garments.map((garment) => ({ garment, chart: plan[garment].chart, label: plan[garment].label })), lines, ...(hem ? { to_be_pinned: true } : {}) };
}
