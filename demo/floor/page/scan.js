// Reading the code of a ticket or a slip: a wedge scanner's keys, or the camera.

import { readPicture } from "./code-128.js";
import { button, h } from "./dom.js";
import { line } from "./line.js";

const BETWEEN_KEYS_MS = 80;
const BETWEEN_LOOKS_MS = 200;

const SHORTEST = 3;
// What a quick hand types on a keypad: no code is like it.
const MEASURE = /^[0-9]{0,3}[+-]*$/;

// A scanner types faster than a hand, and ends with Enter; what a hand types somewhere is left alone. On a keypad its keys
// are measures until its Enter tells that they are not: then the keypad is put back as it was before them.
export function wedge(element, found) {
  let typed = "";
  let last = 0;
  let putBack = null;
  const heard = (event) => {
    if (!element.isConnected || event.target.matches?.("input, select, textarea")) return;
    const pad = event.target.closest?.("tape-keypad");
    if (event.timeStamp - last > BETWEEN_KEYS_MS) typed = "";
    last = event.timeStamp;
    if (event.key === "Enter") {
      const code = typed;
      typed = "";
      if (code.length < SHORTEST || (pad && MEASURE.test(code))) return;
      event.preventDefault();
      event.stopPropagation();
      putBack?.();
      found(code);
    } else if (event.key.length === 1) {
      if (!typed) putBack = pad?.remembered();
      typed += event.key;
    } else if (event.key !== "Shift") {
      // A scanner has no Tab and no arrows.
      typed = "";
    }
  };
  addEventListener("keydown", heard, { capture: true });
  return () => removeEventListener("keydown", heard, { capture: true });
}

// What reads one picture of a camera: the browser where it can, else the bars of a ticket are read here.
async function reader() {
  const formats = "BarcodeDetector" in window ? await BarcodeDetector.getSupportedFormats() : [];
  if (formats.includes("code_128")) {
    const detector = new BarcodeDetector({ formats: formats.filter((each) => ["code_128", "qr_code"].includes(each)) });
    return async (picture) => (await detector.detect(picture).catch(() => []))[0]?.rawValue;
  }
  const canvas = document.createElement("canvas");
  const drawn = canvas.getContext("2d", { willReadFrequently: true });
  return (picture) => {
    if (!picture.videoWidth) return null;
    Object.assign(canvas, { width: picture.videoWidth, height: picture.videoHeight });
    drawn.drawImage(picture, 0, 0);
    return readPicture(drawn.getImageData(0, 0, canvas.width, canvas.height));
  };
}

// A browser gives its camera only to a page that came over https, or from the same machine.
export function camera(found) {
  return navigator.mediaDevices ? button("Camera", () => look(found)) : null;
}

async function look(found) {
  const picture = h("video", { autoplay: true, playsinline: true, muted: true, "aria-label": "What the camera sees" });
  let stream = null;
  const stop = () => { stream?.getTracks().forEach((each) => each.stop()); box.close(); box.remove(); };
  const box = h("dialog", { "aria-label": "Scan" }, picture, h("p", {}, "Hold the bars straight across the picture."), h("div", { class: "doing" }, button("Close", stop)));
  box.addEventListener("cancel", stop);
  document.body.append(box);
  box.showModal();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    picture.srcObject = stream;
    const read = await reader();
    while (box.isConnected) {
      const code = await read(picture);
      if (code) { stop(); return found(code); }
      await new Promise((done) => setTimeout(done, BETWEEN_LOOKS_MS));
    }
    // It was closed before the camera came.
    stop();
  } catch {
    box.append(h("p", { class: "wrong", role: "alert" }, "The camera is not available. Type the number instead."));
  }
  return null;
}

// The order that a code means: the number of a ticket or of a tag (1004/1), or the address on a slip, which has a token. Null
// where there is none.
export async function findOrder(code) {
  let number = code.trim().replace(/^([^/:]+)\/[0-9]+$/, "$1");
  if (number.includes("/")) {
    const token = number.split(/[?#]/)[0].split("/").filter(Boolean).at(-1);
    number = (await line.get(`/v1/collection-slips/${encodeURIComponent(token)}`)).body.number;
  }
  return (await line.get(`/v1/orders?number=${encodeURIComponent(number)}`)).body.orders[0] ?? null;
}

// The same where there must be one; an error that says so where there is none.
export async function orderOf(code) {
  const found = await findOrder(code);
  if (!found) throw new Error(`No order has the number ${code}.`);
  return found;
}
