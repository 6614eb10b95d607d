// Runs inside the page: boxes of the text that is seen, those that lie on one another, and those cut off by their drawing.
export function textFaults() {
  const limit = 1.5, boxes = [], faults = [];
  const clip = (rect, element) => {
    const box = { left: rect.left, right: rect.right, top: rect.top, bottom: rect.bottom };
    for (let e = element; e && e !== document.body; e = e.parentElement) {
      if (getComputedStyle(e).overflowX === 'visible') continue;
      const edge = e.getBoundingClientRect();
      box.left = Math.max(box.left, edge.left), box.right = Math.min(box.right, edge.right);
      box.top = Math.max(box.top, edge.top), box.bottom = Math.min(box.bottom, edge.bottom);
    }
    return box;
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement, words = node.textContent.trim();
    if (!words || parent.closest('script, style, noscript, option, title, desc') || !parent.checkVisibility({ contentVisibilityAuto: true, visibilityProperty: true, opacityProperty: true })) continue;
    const range = document.createRange(), svg = parent.closest('svg')?.getBoundingClientRect();
    range.selectNodeContents(node);
    for (const rect of range.getClientRects()) {
      if (rect.right < 0 || rect.width < 1) continue; // parked off the screen (the skip link)
      if (svg && (rect.left < svg.left - limit || rect.right > svg.right + limit || rect.top < svg.top - 4 || rect.bottom > svg.bottom + 4)) faults.push(`cut off by its drawing: '${words.slice(0, 50)}'`);
      const box = clip(rect, parent), high = rect.bottom - rect.top;
      // A line box is higher than its letters: the outer fifths above and below hold only accents.
      box.top += 0.18 * high, box.bottom -= 0.15 * high;
      if (box.right - box.left > 1 && box.bottom - box.top > 1) boxes.push({ ...box, node, words });
    }
  }
  boxes.sort((a, b) => a.top - b.top);
  boxes.forEach((a, i) => {
    for (let k = i + 1; k < boxes.length && boxes[k].top < a.bottom - limit; ++k) {
      const b = boxes[k];
      if (a.node !== b.node && Math.min(a.right, b.right) - Math.max(a.left, b.left) > limit && Math.min(a.bottom, b.bottom) - b.top > limit) faults.push(`'${a.words.slice(0, 40)}' lies on '${b.words.slice(0, 40)}'`);
    }
  });
  return { texts: boxes.length, faults };
}

/** Elements that stick out of the window to the right and do not scroll in a box of their own. */
export function overflow() {
  const wide = document.documentElement.clientWidth, out = [];
  for (const e of document.body.querySelectorAll('*')) {
    if (!e.checkVisibility() || e.closest('.skip')) continue;
    let inside = false;
    for (let p = e.parentElement; p; p = p.parentElement) inside ||= p !== document.body && p !== document.documentElement && getComputedStyle(p).overflowX !== 'visible';
    const box = e.getBoundingClientRect();
    if (!inside && box.width > 0 && (box.right > wide + 1 || box.left < -1)) out.push(`${e.localName}.${e.className.baseVal ?? e.className} to ${box.right.toFixed(0)} of ${wide} px`);
  }
  return { scrolls: document.documentElement.scrollWidth - wide, out };
}
