// What is asked of a page in a browser; each function returns a list of sentences, empty where all is well.
() => {
  const found = { overflow: [], overlap: [], alt: [], contrast: [] };
  const wide = document.documentElement.clientWidth;
  const name = (node) => `${node.tagName.toLowerCase()}.${node.className} "${node.textContent.trim().slice(0, 40)}"`;
  const isShown = (node) => node.checkVisibility({ opacityProperty: true, visibilityProperty: true });

  // Text nodes with the boxes of their lines.
  const texts = [];
  const walker = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.data.trim() || !isShown(parent) || parent.closest("svg")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) if (box.width > 1 && box.height > 1) texts.push({ node, parent, box });
  }

  if (document.documentElement.scrollWidth > wide) found.overflow.push(`the page is ${document.documentElement.scrollWidth} wide`);
  for (const { parent, box } of texts)
    if (box.right > wide + 1 || box.left < -1) found.overflow.push(`${name(parent)} reaches from ${box.left} to ${box.right}`);
  for (const node of document.querySelectorAll("main img, main table, main svg")) {
    const box = node.getBoundingClientRect();
    if (isShown(node) && (box.right > wide + 1 || box.left < -1)) found.overflow.push(`${name(node)} reaches to ${box.right}`);
  }

  // Two texts, or a text and a picture, may not share more than a sliver of room; names on the slider's pictures may.
  const meet = (one, two) =>
    Math.min(one.right, two.right) - Math.max(one.left, two.left) > 2 &&
    Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top) > 4;
  texts.sort((one, two) => one.box.top - two.box.top);
  for (let i = 0; i < texts.length; i++)
    for (let j = i + 1; j < texts.length && texts[j].box.top < texts[i].box.bottom; j++)
      if (texts[i].node !== texts[j].node && meet(texts[i].box, texts[j].box))
        found.overlap.push(`${name(texts[i].parent)} and ${name(texts[j].parent)}`);
  for (const picture of document.querySelectorAll("main img")) {
    if (!isShown(picture) || picture.closest(".slide")) continue;
    const box = picture.getBoundingClientRect();
    for (const text of texts) if (meet(box, text.box)) found.overlap.push(`a picture and ${name(text.parent)}`);
  }

  const alts = [...document.querySelectorAll("img")].map((each) => each.getAttribute("alt") ?? "");
  for (const alt of alts) {
    if (alt.trim().split(/\s+/).length < 4) found.alt.push(`"${alt}" says too little`);
    if (alts.filter((each) => each === alt).length > 1) found.alt.push(`"${alt}" stands at two pictures`);
  }
  for (const drawing of document.querySelectorAll("main svg"))
    if (!(drawing.getAttribute("aria-label") ?? "").trim()) found.alt.push("a drawing without a label");

  // Contrast: WCAG 2.2, success criterion 1.4.3, with relative luminance as it defines it.
  const channels = (colour) => colour.match(/[\d.]+/g).map(Number);
  const luminance = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((each) => each / 255).map((each) => (each <= 0.04045 ? each / 12.92 : ((each + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ground = (node) => {
    for (let each = node; each; each = each.parentElement) {
      const colour = channels(getComputedStyle(each).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  for (const parent of new Set(texts.map((each) => each.parent))) {
    const style = getComputedStyle(parent);
    const [one, two] = [luminance(channels(style.color)), luminance(ground(parent))];
    const ratio = (Math.max(one, two) + 0.05) / (Math.min(one, two) + 0.05);
    const size = parseFloat(style.fontSize);
    const isLarge = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
    if (ratio < (isLarge ? 3 : 4.5)) found.contrast.push(`${name(parent)} has ${ratio.toFixed(2)}`);
  }
  return found;
};
