// How the screens write lengths, money, days and the contract's words.

export const EIGHTHS = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];

export function money(amount) {
  if (!amount) return "";
  return new Intl.NumberFormat("en-GB", { style: "currency", currency: amount.currency }).format(amount.minor / 100);
}

export function day(iso) {
  if (!iso) return "no day";
  const on = new Date(`${iso}T12:00:00`);
  return on.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" });
}

export const hour = (iso) => new Date(iso).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
export const plain = (word) => (word ?? "").replaceAll("_", " ");
export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);
export const inHundred = (share) => (share >= 0.995 ? "nearly sure" : `${Math.max(1, Math.round(share * 100))} in 100`);

// A whole number of eighths or halves of a centimetre, as a tailor writes it: 1 ½ in, 3.5 cm.
export function stepped(steps, unit) {
  const sign = steps < 0 ? "−" : "";
  const size = Math.abs(steps);
  if (unit === "cm") return `${sign}${size / 2} cm`;
  const whole = Math.floor(size / 8);
  const part = EIGHTHS[size % 8];
  return `${sign}${[whole || (part ? "" : 0), part].filter((each) => each !== "").join(" ")} in`;
}

export const inches = (eighths) => ({ value: eighths / 8, unit: "in" });
export const valueOf = (steps, unit) => (unit === "cm" ? steps / 2 : steps / 8);
export const stepsOf = (mm, unit) => Math.round(mm / (unit === "cm" ? 5 : 25.4 / 8));

export const SIDE = { left: "their left", right: "their right", both: "both sides" };
export const GARMENT = { jacket: "jacket", trousers: "trousers", waistcoat: "waistcoat", shirt: "shirt" };

export const STATE = {
  marked: "marked", accepted: "accepted", in_workroom: "on the bench", query: "asked", basted_for_fitting: "basted",
  sewn: "sewn", pressed: "pressed", ready: "ready", stored: "put away", lost: "not found", collected: "collected",
  given_up: "given up", written_off: "written off", cancelled: "cancelled" };

export const MOVE = {
  accepted: "Take in", in_workroom: "On the bench", query: "Ask the counter", basted_for_fitting: "Baste for a fitting",
  sewn: "Sewn", pressed: "Pressed, pins out", ready: "Ready, pins out", stored: "Put away", lost: "Not found",
  collected: "Hand over", cancelled: "Cancel", given_up: "Given up", written_off: "Write off", marked: "Marked" };

export const count = (number, one) => `${number || "no"} ${one}${number === 1 ? "" : "s"}`;
export const sizes = (plan) =>
  [["jacket", plan.jacket], ["trousers", plan.trousers], ["waistcoat", plan.waistcoat]]
    .filter(([, each]) => each).map(([name, each]) => `${name} ${each.label}`).join(", ");

// What the catalogue calls each alteration, once it was read.
export const WORK = {};

export function workLine(line) {
  const side = line.side ? ` (${SIDE[line.side] ?? line.side})` : "";
  return `${line.words ?? WORK[line.alteration] ?? plain(line.alteration)}${side}${line.amount ? `: ${line.amount.text}` : ""}`;
}
