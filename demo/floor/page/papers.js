// A paper of the service on the screen, to read and to print; and its PDF with tags, for a printer.

import { button, h } from "./dom.js";
import { line } from "./line.js";

export async function showPaper(path, title) {
  const open = document.activeElement;
  const box = h("dialog", { class: "paper-box", "aria-label": title });
  const urls = [];
  const close = () => { box.close(); box.remove(); urls.forEach((each) => URL.revokeObjectURL(each)); open?.focus?.(); };
  const place = h("div", { class: "paper-shown", tabindex: "0" }, h("p", {}, "Fetching…"));
  box.append(h("div", { class: "doing" }, h("h2", {}, title), button("Print", () => window.print(), { class: "first" }), h("span", { class: "pdf" }), button("Close", close)), place);
  box.addEventListener("cancel", close);
  document.body.append(box);
  box.showModal();
  const fetched = async (accept) => {
    const url = URL.createObjectURL((await line.get(path, { accept, as: "blob" })).body);
    urls.push(url);
    return url;
  };
  try {
    const [drawn, words] = await Promise.all([fetched("image/svg+xml"), line.get(path, { accept: "text/plain", as: "text" })]);
    place.replaceChildren(h("img", { src: drawn, alt: words.body }));
    box.querySelector(".pdf").append(h("a", { href: await fetched("application/pdf"), download: `${title}.pdf` }, "PDF with tags"));
  } catch (problem) {
    place.replaceChildren(h("p", { class: "wrong" }, problem.message));
  }
}
