// What a shop's own page does with the size that its visitor took.
document.addEventListener("size-chosen", ({ detail }) => {
  const pieces = [detail.jacket && `jacket ${detail.jacket}`, detail.trousers && `trousers ${detail.trousers}`].filter(Boolean);
  document.getElementById("basket").textContent = `In your basket: ${pieces.join(", ")}.`;
});
