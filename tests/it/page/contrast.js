// Every piece of text and what lies behind it, with all that is folded away unfolded; whether anything stands out of
// the window; words of drawings that lie on each other or run off their sheet.
addEventListener('load', () => setTimeout(() => {
  const parse = (text) => (text.match(/[0-9.]+/g) || []).map(Number);
  const light = (rgb) => {
    const [r, g, b] = rgb.map((c) => { const x = c / 255; return x <= 0.03928 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = (element) => {
    for (let e = element; e; e = e.parentElement) {
      // Drawings have paper of their own.
      if (e.tagName === 'svg') return [255, 255, 255];
      const [r, g, b, a] = parse(getComputedStyle(e).backgroundColor);
      if (a === undefined || a > 0.99) return [r, g, b];
    }
    return [255, 255, 255];
  };
  document.querySelectorAll('details').forEach((d) => { d.open = true; });
  const pale = [];
  let texts = 0;
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode;
    const element = node.parentElement;
    if (!node.textContent.trim() || /^(SCRIPT|STYLE|OPTION|TITLE|DESC)$/i.test(element.tagName) || !element.getClientRects().length) continue;
    texts++;
    const style = getComputedStyle(element);
    const ink = parse(element.closest('svg') ? style.fill : style.color);
    const [a, b] = [light(ink.slice(0, 3)), light(behind(element))];
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (contrast < 4.5) pale.push([node.textContent.trim().slice(0, 40), Math.round(contrast * 100) / 100]);
  }
  const crossing = [], outside = [];
  document.querySelectorAll('svg').forEach((svg) => {
    const sheet = svg.getBoundingClientRect();
    const words = [...svg.querySelectorAll('text')].map((t) => ({ t: t.textContent.trim(), r: t.getBoundingClientRect() }));
    words.forEach(({ t, r }, i) => {
      if (r.left < sheet.left - 1 || r.right > sheet.right + 1 || r.top < sheet.top - 1 || r.bottom > sheet.bottom + 1) outside.push(t);
      // Boxes are higher than letters: lines that stand close share some of them.
      for (const other of words.slice(i + 1)) {
        const w = Math.min(r.right, other.r.right) - Math.max(r.left, other.r.left);
        const h = Math.min(r.bottom, other.r.bottom) - Math.max(r.top, other.r.top);
        const least = Math.min(r.width * r.height, other.r.width * other.r.height);
        if (w > 0 && h > 0 && w * h > 0.3 * least) crossing.push([t, other.t]);
      }
    });
  });
  const root = document.documentElement;
  const found = { crossing, outside, drawings: document.querySelectorAll('svg').length, dark: matchMedia('(prefers-color-scheme: dark)').matches, texts, pale: pale.slice(0, 20), cut: root.scrollWidth > root.clientWidth + 1, wide: root.scrollWidth, window: root.clientWidth };
  // In a frame it is the page about it that is read.
  const told = parent.document;
  const pre = told.createElement('pre');
  pre.id = 'found';
  pre.textContent = JSON.stringify(found);
  told.body.append(pre);
}, 50));
