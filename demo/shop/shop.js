// What a shop's own page does with the size that its visitor took.
document.addEventListener("size-chosen", ({ detail }) => {
  const pieces = ["jacket", "trousers"].filter((garment) => detail[garment]).map((garment) => `${garment} ${detail[garment].label}`);
  document.getElementById("basket").textContent = `In your basket: ${pieces.join(", ")}.`;
});
