// One fitting: what was taped, what is worn, what was seen, what was pinned. Kept on the tablet until its order is placed.

import { asValue, isTyped, nothingTyped } from "../keypad.js";
import { drafts } from "../line.js";
import { valueOf } from "../wording.js";

export const DIMENSIONS = [
  ["chest_girth", "chest", "round under the arms, over the fullest part, level behind"],
  ["trouser_waist_girth", "trouser waist", "round where the band sits, over the shirt, one finger easy"],
  ["hip_girth", "seat", "round the fullest part, feet together, pockets empty"],
  ["stature", "height", "without shoes, heels to the wall"],
  ["inside_leg_length", "inside leg", "fork to floor; let them hold the top end themselves"],
  ["arm_length", "arm", "point of the shoulder over the bent elbow to the wrist bone"],
  ["back_width", "across the back", "armhole to armhole at half armhole height"],
  ["shoulder_width", "shoulder to shoulder", "bone to bone across the back"],
  ["neck_girth", "neck", "round at the collar, one finger easy"],
  ["thigh_girth", "thigh", "round just below the fork; let them hold it themselves"],
  ["cervical_height", "nape bone to floor", "upright, without shoes"],
  ["natural_waist_girth", "natural waist", "round at the narrowest"],
  ["waist_girth", "waist at the navel", "round, level, breathing easily"],
  ["body_mass", "weight", "as they say it, or on the scales"],
];
export const USUAL = 6;
export const unitOf = (dimension) => (dimension === "body_mass" ? "kg" : dimension === "stature" ? "cm" : "in");

const fresh = () => ({
  customer: `customer-${new Date().toISOString().slice(2, 19).replace(/[-T:]/g, "")}`, sale: "", readings: {}, set: null, worn: {}, chart: null, checkedAs: null,
  told: {}, code: null, wish: "usual", seen: [], before: [], check: null, pins: {}, pinsLeft: { jacket: 0, trousers: 0 }, heel: 8, fall: "half",
  toBePinned: false, cloth: "", neededBy: "", rush: false, note: "", takeUp: [], joins: null, step: "tape" });

export class Fitting {
  constructor() {
    Object.assign(this, fresh(), drafts.read("fitting") ?? {});
  }

  keep() {
    drafts.keep("fitting", this);
  }

  begin() {
    for (const name of Object.keys(this)) delete this[name];
    Object.assign(this, fresh());
    drafts.drop("fitting");
  }

  reading(dimension) {
    return (this.readings[dimension] ??= { value: nothingTyped(), again: nothingTyped(), unit: unitOf(dimension), self: false });
  }

  // As the contract takes readings; in the order of the list, so that a warning's pointer leads back.
  get taped() {
    const names = [...new Set([...DIMENSIONS.map(([name]) => name), ...Object.keys(this.readings)])];
    return names.map((name) => [name, this.readings[name]]).filter(([, each]) => each && (isTyped(each.value) || each.said)).map(([dimension, each]) => (isTyped(each.value) ? {
      dimension, value: asValue(each.value, each.unit), unit: each.unit, source: each.self ? "self_measured" : "measured",
      ...(isTyped(each.again) ? { repeats: [asValue(each.again, each.unit)] } : {}) } : { dimension, ...each.said }));
  }

  // Whether enough is known to be advised on.
  get isKnown() {
    return this.taped.length > 0 || (this.told.wears ?? []).length > 0;
  }

  // A looked-at point once for each of these sides; the newest word on it counts, and undo takes it back in one step.
  see(point, sides, what) {
    this.before = [...this.before, this.seen].slice(-30);
    const others = this.seen.filter((each) => !(each.point === point && sides.includes(each.side)));
    this.seen = [...others, ...sides.map((side) => ({ point, side, ...what }))];
    this.keep();
  }

  undo() {
    if (this.before.length) this.seen = this.before.pop();
    this.keep();
  }

  of(point, side) {
    return this.seen.find((each) => each.point === point && each.side === side);
  }

  get observations() {
    return this.seen.map(({ point, side, odd, seen, steps, unit }) => ({
      point, ...(side ?? odd ? { side: side ?? odd } : {}),
      ...(steps === undefined ? { seen } : { [steps < 0 ? "short" : "spare"]: { value: valueOf(Math.abs(steps), unit), unit } }) }));
  }

  get checkAsked() {
    const worn = Object.fromEntries(Object.entries(this.worn).map(([garment, label]) => [garment, { chart: this.chart, label }]));
    return { worn, charts: [this.chart], observations: this.observations, wish: this.wish,
      // While it is looked at nothing is filed under the customer: the check that is ordered from is.
      ...(this.step === "sheet" ? { customer_ref: this.customer } : {}),
      ...this.told, ...(this.taped.length ? { readings: this.taped } : {}) };
  }

  // The check of just what is typed now; one that was asked before the last tap says something else.
  get judged() {
    return this.check && this.checkedAs === JSON.stringify(this.checkAsked) ? this.check : null;
  }

  // All of it as it is now: what is answered puts it back so.
  remembered() {
    const was = structuredClone({ ...this });
    return () => { Object.assign(this, was); this.keep(); };
  }

  // The pins of each leg, as hems of an order.
  get hems() {
    const pinned = ["left", "right"].filter((side) => isTyped(this.pins[side]?.value));
    if (!this.worn.trousers || (!pinned.length && !this.toBePinned)) return [];
    const length = (side) => ({ value: asValue(this.pins[side].value, this.pins[side].unit), unit: this.pins[side].unit });
    const shoe = { break: this.fall, heel: { value: this.heel / 8, unit: "in" } };
    if (!pinned.length) return [{ to_be_pinned: true, ...shoe }];
    return [{ pins: Object.fromEntries(pinned.map((side) => [side, length(side)])), ...shoe }];
  }

  get sheet() {
    const garments = Object.keys(this.worn).map((garment) => ({ garment, ...(this.cloth ? { cloth: this.cloth } : {}),
      ...(this.pinsLeft[garment] ? { pins_left_in: this.pinsLeft[garment] } : {}) }));
    const at = (this.check?.plans ?? []).findIndex((plan) => Object.entries(this.worn).every(([garment, label]) => plan[garment]?.label === label));
    return { ...(this.judged ? { from_fit_check: this.judged.id } : {}), ...(at > 0 ? { plan: at } : {}), garments, ...(this.hems.length ? { hems: this.hems } : {}),
      // Whoever joins a group takes its day and its haste.
      ...(this.neededBy && !this.joins ? { needed_by: this.neededBy } : {}), ...(this.rush && !this.joins ? { rush: true } : {}),
      ...(this.takeUp.length ? { take_up: this.takeUp } : {}) };
  }
}
