// A paper of the service on the screen, to read and to print; and its PDF with tags, for a printer.

import { button, h } from "./dom.js";
import { line } from "./line.js";

export async function showPaper(path, title) {
  const open = document.activeElement;
  const box = h("dialog", { class: "paper-box", "aria-label": title });
  const urls = [];
  const close = () => { box.close(); box.remove(); urls.forEach((each) => URL.revokeObjectURL(each)); open?.focus?.(); };
  const fetched = async (accept) => {
    const url = URL.createObjectURL((await line.get(path, { accept, as: "blob" })).body);
    urls.push(url);
    return url;
  };
  const failed = (problem) => place.replaceChildren(h("p", { class: "wrong" }, problem.message));
  // The largest of them, and seldom wanted: it is drawn when it is asked for.
  const save = () => fetched("application/pdf").then((href) => h("a", { href, download: `${title}.pdf` }).click(), failed);
  const place = h("div", { class: "paper-shown", tabindex: "0" }, h("p", {}, "Fetching…"));
  box.append(h("div", { class: "doing" }, h("h2", {}, title), button("Print", () => window.print(), { class: "first" }), button("PDF with tags", save), button("Close", close)), place);
  box.addEventListener("cancel", close);
  document.body.append(box);
  box.showModal();
  try {
    const [drawn, words] = await Promise.all([fetched("image/svg+xml"), line.get(path, { accept: "text/plain", as: "text" })]);
    place.replaceChildren(h("img", { src: drawn, alt: words.body }));
  } catch (problem) {
    failed(problem);
  }
}
