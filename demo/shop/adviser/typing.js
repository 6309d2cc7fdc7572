// What a visitor types, read as people write it: 1.78, 1m78, 5'10, 5 ft 10 1/2, 11st 6, 76, 168 lb, 39½.
// Each reader gives {value, unit}, {ask: [{value, unit}, …]} where it may be meant in several ways, or null.

const PARTS = { "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const NUMBER = String.raw`(\d+(?:\.\d+)?(?:[ -]+\d+\/\d+)?|\d+\/\d+)`;
const INCH = String.raw`(?:"|''|in|ins|inch|inches|zoll|po|pouces?)`;
const FOOT = String.raw`(?:'|ft|f|foot|feet|fuß|pieds?)`;
const STONE = String.raw`(?:st|stone|stones)`;
const POUND = String.raw`(?:lb|lbs|pounds?|livres?)`;
const whole = (pattern) => new RegExp(`^${pattern}$`);

const FEET = whole(String.raw`(\d)\s*(?:${FOOT}\s*(?:${NUMBER}\s*${INCH}?)?| (\d{1,2}))`);
const METRE_FIRST = whole(String.raw`([12])\s*m\s*(\d{2})`);
const LENGTH = whole(String.raw`${NUMBER}\s*(cm|mm|m|${INCH})?`);
const STONES = whole(String.raw`${NUMBER}\s*${STONE}\s*(?:${NUMBER}\s*${POUND}?)?`);
const MASS = whole(String.raw`${NUMBER}\s*(kg|kilos?|${POUND})?`);

export const HEIGHT_CM = [120, 230];
export const WEIGHT_KG = [35, 250];
const CM_IN = 2.54;
const LB_KG = 0.45359237;

const round = (value) => Math.round(value * 1000) / 1000;
const between = (value, [least, most]) => value >= least && value <= most;

function plain(text) {
  return text.trim().toLowerCase().replace(/[’′`]/g, "'").replace(/[”″]/g, '"').replace(/(\d),(\d)/g, "$1.$2").replace(/⁄/g, "/")
    .replace(/(\d?)\s*([¼½¾⅛⅜⅝⅞])/g, (_, before, part) => `${before}${before && " "}${PARTS[part]}`).replace(/\s+/g, " ");
}

/** A number with an eighth: 32, 32.5, 32 1/2, 32-1/2, 1/2. */
function number(text) {
  const [, first, over, under] = /^(?:(\d+(?:\.\d+)?)(?:[ -]+|$))?(?:(\d+)\/(\d+))?$/.exec(text) ?? [];
  return Number(first ?? 0) + (over ? Number(over) / Number(under) : 0);
}

const height = (value, unit) => {
  const cm = unit === "in" ? value * CM_IN : value;
  return between(cm, HEIGHT_CM) ? { value: round(value), unit } : null;
};
const weight = (value, unit) => (between(unit === "lb" ? value * LB_KG : value, WEIGHT_KG) ? { value: round(value), unit } : null);
const asked = (...ways) => {
  const left = ways.filter(Boolean);
  return left.length ? { ask: left } : null;
};

/** A height. A bare number is metres or centimetres; feet or inches without their mark are asked about. */
export function readHeight(typed) {
  const text = plain(typed);
  const feet = FEET.exec(text);
  if (feet) {
    const over = number(feet[2] ?? feet[3] ?? "0");
    return over < 12 ? height(Number(feet[1]) * 12 + over, "in") : null;
  }
  const metres = METRE_FIRST.exec(text);
  if (metres) return height(Number(metres[1]) * 100 + Number(metres[2]), "cm");
  const [, written, unit] = LENGTH.exec(text) ?? [];
  if (!written) return null;
  const value = number(written);
  if (unit === "cm") return height(value, "cm");
  if (unit === "m") return height(value * 100, "cm");
  if (unit === "mm") return height(value / 10, "cm");
  if (unit) return height(value, "in");
  if (value < 3) return height(value * 100, "cm");
  if (value >= 100) return height(value, "cm");
  if (value >= 10) return asked(height(value, "in"));
  // 5.10 is five foot ten; 5.5 may be that, or five and a half.
  const [whole_, behind] = written.split(".");
  const inches = Number(behind ?? 0);
  const ways = [height(Number(whole_) * 12 + inches, "in")];
  if (behind?.length === 1 && Math.abs(value * 12 - Number(whole_) * 12 - inches) > 0.01) ways.push(height(value * 12, "in"));
  return inches < 12 ? asked(...ways) : null;
}

/** A weight. A bare number is kilograms, or pounds where people count in them; what may be either is asked about. */
export function readWeight(typed, inPounds = false) {
  const text = plain(typed);
  const stones = STONES.exec(text);
  if (stones) {
    const over = number(stones[2] ?? "0");
    return over < 14 ? weight(number(stones[1]) * 14 + over, "lb") : null;
  }
  const [, written, unit] = MASS.exec(text) ?? [];
  if (!written) return null;
  const value = number(written);
  if (unit?.startsWith("k")) return weight(value, "kg");
  if (unit) return weight(value, "lb");
  if (value < WEIGHT_KG[0]) return asked(weight(value * 14, "lb"));
  if (inPounds) return value >= 110 ? weight(value, "lb") : asked(weight(value, "lb"), weight(value, "kg"));
  return value <= 130 ? weight(value, "kg") : asked(weight(value, "kg"), weight(value, "lb"));
}

/** A girth or a length off the tape. A bare number is in the unit that is counted in; where none can be, the other is asked about. */
export function readTape(typed, unit) {
  const [, written, said] = LENGTH.exec(plain(typed)) ?? [];
  if (!written) return null;
  const value = number(written);
  const [size, in_] = { cm: [value, "cm"], mm: [value / 10, "cm"], m: [value * 100, "cm"] }[said] ?? [value, said ? "in" : unit];
  const taped = (value_, its) => (between(its === "in" ? value_ * CM_IN : value_, [15, 230]) ? { value: round(value_), unit: its } : null);
  return taped(size, in_) ?? (said ? null : asked(taped(size, in_ === "in" ? "cm" : "in")));
}
