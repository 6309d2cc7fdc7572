// Reading the bars of a ticket, a Code 128 (ISO/IEC 15417), from lines of a picture: for browsers that read no codes themselves.

// How many of the narrowest each bar and gap of a symbol is wide; the last is where a code ends.
const SYMBOLS = (
  "212222222122222221121223121322131222122213122312132212221213221312231212112232122132122231113222123122123221" +
  "223211221132221231213212223112312131311222321122321221312212322112322211212123212321232121111323131123131321" +
  "112313132113132311211313231113231311112133112331132131113123113321133121313121211331231131213113213311213131" +
  "311123311321331121312113312311332111314111221411431111111224111422121124121421141122141221112214112412122114" +
  "122411142112142211241211221114413111241112134111111242121142121241114212124112124211411212421112421211212141" +
  "214121412121111143111341131141114113114311411113411311113141114131311141411131211412211214211232233111"
).match(/.{6}/g).map((each) => [...each].map(Number));
const SYMBOL_WIDTH = 11;
const FIRST = { 103: "A", 104: "B", 105: "C" };
const LAST = SYMBOLS.length - 1;
// In each set of letters, what goes on in another.
const OTHER_SET = { A: { 99: "C", 100: "B" }, B: { 99: "C", 101: "A" }, C: { 100: "B", 101: "A" } };
const FARTHEST_OFF = 1.8;
// Darker than what is around it by so much is a bar: paper has shades of its own.
const DARK_SHARE = 0.92;

// What the code says that a line of brightnesses crosses, from either end; null where it crosses none that is whole.
export function readCode128(line) {
  const runs = runsOf(line);
  return readFrom(runs) ?? readFrom({ widths: runs.widths.toReversed(), isDark: runs.widths.length % 2 ? runs.isDark : !runs.isDark });
}

// Widths of what is light and dark by turns, to parts of a pixel; and whether the first is dark.
function runsOf(line) {
  const around = Math.max(8, line.length >> 4);
  const sums = [0];
  for (const each of line) sums.push(sums.at(-1) + each);
  const edge = (at) => {
    const [from, to] = [Math.max(0, at - around), Math.min(line.length, at + around)];
    return (DARK_SHARE * (sums[to] - sums[from])) / (to - from) - line[at];
  };
  const widths = [];
  let before = edge(0);
  let began = 0;
  for (let at = 1; at < line.length; at += 1) {
    const now = edge(at);
    if (now > 0 !== before > 0) {
      const crossed = at - 1 + before / (before - now);
      widths.push(crossed - began);
      began = crossed;
    }
    before = now;
  }
  widths.push(line.length - began);
  return { widths, isDark: edge(0) > 0 };
}

function readFrom({ widths, isDark }) {
  for (let at = isDark ? 0 : 1; at + 6 <= widths.length; at += 2) {
    const said = symbolAt(widths, at) in FIRST && said128(widths, at);
    if (said) return said;
  }
  return null;
}

function said128(widths, from) {
  const symbols = [];
  for (let at = from; at + 6 <= widths.length; at += 6) {
    const symbol = symbolAt(widths, at);
    if (symbol === null) return null;
    if (symbol === LAST) return isWhole(symbols) ? spelt(symbols) : null;
    symbols.push(symbol);
  }
  return null;
}

// The symbol that six widths are nearest to; null where they are near none.
function symbolAt(widths, at) {
  const six = widths.slice(at, at + 6);
  const scale = SYMBOL_WIDTH / six.reduce((sum, each) => sum + each, 0);
  const off = SYMBOLS.map((symbol) => symbol.reduce((sum, each, place) => sum + Math.abs(each - six[place] * scale), 0));
  const least = Math.min(...off);
  return least < FARTHEST_OFF ? off.indexOf(least) : null;
}

const isWhole = (symbols) => symbols.length > 2 && symbols.slice(0, -1).reduce((sum, each, place) => sum + each * Math.max(1, place), 0) % 103 === symbols.at(-1);

function spelt(symbols) {
  let set = FIRST[symbols[0]];
  let words = "";
  for (const symbol of symbols.slice(1, -1)) {
    if (OTHER_SET[set][symbol]) set = OTHER_SET[set][symbol];
    else if (set === "C" && symbol < 100) words += String(symbol).padStart(2, "0");
    else if (set !== "C" && symbol < (set === "A" ? 64 : 95)) words += String.fromCharCode(32 + symbol);
    else return null;
  }
  return words;
}

// Lines across a picture and down it: a ticket lies either way.
const LINES = 15;

export function readPicture({ data, width, height }) {
  const grey = (pixel) => data[4 * pixel] * 0.3 + data[4 * pixel + 1] * 0.59 + data[4 * pixel + 2] * 0.11;
  for (let each = 1; each <= LINES; each += 1) {
    const row = Math.floor((height * each) / (LINES + 1));
    const column = Math.floor((width * each) / (LINES + 1));
    const said = readCode128(Array.from({ length: width }, (_, at) => grey(row * width + at))) ?? readCode128(Array.from({ length: height }, (_, at) => grey(at * width + column)));
    if (said) return said;
  }
  return null;
}
