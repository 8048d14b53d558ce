// The drive in space: opening, wedges and bolts on a canvas, to be turned. Nothing here computes mechanics: the
// bodies, their places and what is said of them stand in the page as data.
//
// Local axes: u right, s along the advance, v up; metres. A tree of planes gives the order of drawing from every
// side: what a plane parts is drawn from the far side to the near one, and what crosses it is cut along it.
(() => {
  'use strict';
  const source = document.getElementById('view-data');
  const root = document.querySelector('.view');
  if (!source || !root) return;
  const data = JSON.parse(source.textContent);

  // Corners are written to a millimetre: what lies this near to a plane lies on it.
  const ON_PLANE = 1.5e-3;
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
  const along = (a, b, t) => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];
  const step = (a, d, m) => [a[0] + d[0] * m, a[1] + d[1] * m, a[2] + d[2] * m];
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

  // ---- the tree of planes

  const planeOf = (p) => {
    let n = [0, 0, 0];
    for (let i = 1; i + 1 < p.length; i++) n = n.map((x, k) => x + cross(sub(p[i], p[0]), sub(p[i + 1], p[0]))[k]);
    const size = Math.hypot(...n);
    if (size < 1e-7) return null;
    n = n.map((x) => x / size);
    return { n, at: dot(n, p[0]) };
  };

  // 1 before the plane, -1 behind it, 0 on it, 2 across it.
  const sideOf = (points, plane) => {
    let before = false, behind = false;
    for (const p of points) {
      const off = dot(plane.n, p) - plane.at;
      if (off > ON_PLANE) before = true;
      else if (off < -ON_PLANE) behind = true;
    }
    return before && behind ? 2 : before ? 1 : behind ? -1 : 0;
  };

  // Both parts of a piece that a plane goes through; edges that the cut makes are not drawn.
  const cut = (piece, plane) => {
    const parts = [{ points: [], edges: [] }, { points: [], edges: [] }];
    const put = (part, point, edge) => { part.points.push(point); part.edges.push(edge); };
    const { points, edges } = piece;
    const count = points.length;
    for (let i = 0; i < count; i++) {
      const from = points[i], to = points[(i + 1) % count];
      const a = dot(plane.n, from) - plane.at, b = dot(plane.n, to) - plane.at;
      const fromSide = a > ON_PLANE ? 1 : a < -ON_PLANE ? -1 : 0;
      const toSide = b > ON_PLANE ? 1 : b < -ON_PLANE ? -1 : 0;
      if (piece.line && i === 1) {
        if (fromSide >= 0) put(parts[0], from, false);
        if (fromSide <= 0) put(parts[1], from, false);
        break;
      }
      // From a corner on the plane the edge belongs to the side that it goes to; the other part goes on along the cut.
      if (fromSide >= 0) put(parts[0], from, edges[i] && (fromSide > 0 || toSide > 0));
      if (fromSide <= 0) put(parts[1], from, edges[i] && (fromSide < 0 || toSide < 0));
      if (fromSide * toSide < 0) {
        const at = along(from, to, a / (a - b));
        put(parts[0], at, fromSide < 0 && edges[i]);
        put(parts[1], at, fromSide > 0 && edges[i]);
      }
    }
    return parts.map((part) => ({ ...piece, ...part }));
  };

  const grow = (pieces) => {
    const areas = pieces.filter((p) => !p.line);
    if (!areas.length) return pieces.length ? { lines: pieces } : null;
    let best = null;
    const stride = Math.max(1, Math.floor(areas.length / 7));
    for (let i = 0; i < areas.length; i += stride) {
      const { plane } = areas[i];
      let cuts = 0, balance = 0;
      for (const piece of pieces) {
        const side = sideOf(piece.points, plane);
        if (side === 2) cuts++;
        else balance += side;
      }
      const cost = 4 * cuts + Math.abs(balance);
      if (!best || cost < best.cost) best = { cost, plane };
    }
    const node = { plane: best.plane, on: [] };
    const before = [], behind = [];
    for (const piece of pieces) {
      const side = sideOf(piece.points, node.plane);
      if (side === 0) node.on.push(piece);
      else if (side === 1) before.push(piece);
      else if (side === -1) behind.push(piece);
      else {
        const [a, b] = cut(piece, node.plane);
        const least = piece.line ? 2 : 3;
        if (a.points.length >= least) before.push(a);
        if (b.points.length >= least) behind.push(b);
      }
    }
    // On one plane: areas under lines, what is not chosen under what is.
    node.on.sort((a, b) => a.rank - b.rank);
    node.before = grow(before);
    node.behind = grow(behind);
    return node;
  };

  // Far to near for somebody who looks along `look`.
  const order = (node, look, out = []) => {
    if (!node) return out;
    if (node.lines) {
      const depth = (p) => dot(p.points[0], look) + dot(p.points[1], look);
      out.push(...[...node.lines].sort((a, b) => depth(b) - depth(a)));
      return out;
    }
    const faces = dot(node.plane.n, look) < 0;
    order(faces ? node.behind : node.before, look, out);
    out.push(...node.on);
    order(faces ? node.before : node.behind, look, out);
    return out;
  };

  // ---- what is there

  const size = (() => {
    const us = data.outline.map((p) => p[0]), vs = data.outline.map((p) => p[1]);
    return { low: [Math.min(...us), Math.min(...vs)], high: [Math.max(...us), Math.max(...vs)] };
  })();
  const reach = Math.max(size.high[0] - size.low[0], size.high[1] - size.low[1]);

  const corners = (body, moved) => {
    const at = [body.at[0], body.at[1] + moved, body.at[2]];
    return [at, ...body.p.map((p) => [at[0] + p[0], at[1] + p[1], at[2] + p[2]])];
  };

  const area = (points, edges, more) => {
    const plane = planeOf(points);
    return plane ? [{ points, edges, plane, ...more }] : [];
  };
  const line = (a, b, more) => ({ line: true, points: [a, b], edges: [true, false], rank: 9, ...more });

  // A wedge's joints as triangles from its apex: a trace may bend.
  const bodyPieces = (wedge, body, moved, chosen) => {
    const p = corners(body, moved);
    const rank = chosen ? 3 : 2;
    const pieces = [];
    body.j.forEach((trace, k) => {
      for (let i = 0; i + 1 < trace.length; i++) {
        const edges = [i === 0, true, i + 2 === trace.length];
        pieces.push(...area([p[0], p[trace[i]], p[trace[i + 1]]], edges, { set: wedge.sets[k], trace: 1, wedge, chosen, rank }));
      }
    });
    for (const face of body.o) {
      pieces.push(...area(face.map((i) => p[i]), face.map(() => false), { face: true, wedge, chosen, rank }));
    }
    return pieces;
  };

  // The bolts of all patterns between two chainages, as they stand about a body.
  const collars = (body, [from, to]) => {
    const found = [];
    for (const pattern of data.patterns) {
      const shift = pattern.group === null ? 0 : body.shifts[pattern.group] || 0;
      for (const [u, v, direction, first] of pattern.rows) {
        const zero = pattern.offset + shift + first * pattern.ring;
        for (let k = Math.ceil((from - zero) / pattern.period); zero + k * pattern.period <= to; k++) {
          found.push([[u, zero + k * pattern.period, v], direction, pattern.length]);
        }
      }
    }
    // What stands at its chainage alone is beside those wedges that have a chainage.
    if (chosen.fixed) found.push(...data.local.filter((bolt) => bolt[0][1] >= from && bolt[0][1] <= to));
    return found;
  };

  let chosen = data.wedges[0];
  let shown = chosen.shown;
  let others = true;
  let tree = null, stretch = [0, 1], own = [], seen = [];

  const period = () => Math.max(0, ...data.patterns.map((p) => p.period)) || reach;

  const build = () => {
    const body = chosen.sizes[shown];
    own = corners(body, 0);
    const s = own.map((p) => p[1]);
    const pad = 0.3 * reach;
    stretch = [Math.min(...s) - pad, chosen.face ? 0 : Math.max(...s) + pad];
    const pieces = bodyPieces(chosen, body, 0, true);
    if (others) {
      for (const wedge of data.wedges) {
        if (wedge === chosen || wedge.face !== chosen.face) continue;
        const other = wedge.sizes[wedge.shown];
        // A wedge without a place of its own may sit a whole number of periods further.
        const moved = wedge.fixed || wedge.face ? 0 : Math.round((body.at[1] - other.at[1]) / period()) * period();
        const at = corners(other, moved).map((p) => p[1]);
        if (Math.max(...at) < stretch[0] || Math.min(...at) > stretch[1]) continue;
        pieces.push(...bodyPieces(wedge, other, moved, false));
      }
    }
    const ring = (at) => data.outline.map(([u, v]) => [u, at, v]);
    const near = ring(stretch[0]), far = ring(stretch[1]);
    const count = near.length;
    for (let i = 0; i < count; i++) {
      pieces.push(line(near[i], near[(i + 1) % count], { opening: 2 }), line(far[i], far[(i + 1) % count], { opening: 2 }));
    }
    const edges = data.corners.length ? data.corners : [...Array(8).keys()].map((k) => Math.floor((k * count) / 8));
    for (const i of edges) pieces.push(line(near[i], far[i], { opening: 1 }));
    // The floor, unless it would hide what is chosen.
    if (!chosen.where.includes('floor')) {
      for (let i = 0; i < count; i++) {
        const next = (i + 1) % count;
        if (near[i][2] < size.low[1] + 0.02 && near[next][2] < size.low[1] + 0.02) {
          pieces.push(...area([near[i], near[next], far[next], far[i]], [false, false, false, false], { floor: true, rank: 1 }));
        }
      }
    }
    const serving = body.bolts;
    // Behind a face rings stand by the last of them: those that cross the wedge are known.
    for (const [at, direction, length] of chosen.face ? [] : collars(body, stretch)) {
      if (serving.some((b) => Math.hypot(...sub(b[0], at)) < 2e-3)) continue;
      pieces.push(line(at, step(at, direction, length), { bolt: 0 }));
    }
    for (const [at, direction, length, head] of serving) {
      const joint = step(at, direction, head);
      pieces.push(line(at, joint, { bolt: 1, plate: at }), line(joint, step(at, direction, length), { bolt: 2 }));
    }
    // What the section shows: the opening, bolts, and wedges as far as they do not dwarf it.
    const isNear = (x, low, high) => x > low - 0.8 * reach && x < high + 0.8 * reach;
    seen = pieces.flatMap((p) => p.points).filter((p) => isNear(p[0], size.low[0], size.high[0]) && isNear(p[2], size.low[1], size.high[1]));
    tree = grow(pieces);
  };

  // ---- how it is drawn

  const channels = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
  const mixed = (a, b, share) => {
    const [x, y] = [channels(a), channels(b)];
    return `rgb(${x.map((c, i) => Math.round(c + (y[i] - c) * share)).join(',')})`;
  };
  let ink = '#1a1a1a', ground = '#ffffff', onPaper = false;
  const colours = (print) => {
    const style = getComputedStyle(root);
    const value = (name, plain) => (print ? plain : style.getPropertyValue(name).trim() || plain);
    ink = value('--ink', '#1a1a1a');
    ground = value('--pane', '#ffffff');
  };

  // Across the drive toward the wedge, from above: its face and its apex are both seen.
  const first = () => ({ yaw: own.length && own[0][0] < (size.low[0] + size.high[0]) / 2 ? -38 : 38, pitch: 20, zoom: 1 });
  const camera = first();
  let turned = false;
  const lookOf = ({ yaw, pitch }) => {
    const [y, p] = [(yaw * Math.PI) / 180, (pitch * Math.PI) / 180];
    const look = [Math.sin(y) * Math.cos(p), Math.cos(y) * Math.cos(p), -Math.sin(p)];
    const right = [Math.cos(y), -Math.sin(y), 0];
    return { look, right, up: cross(right, look) };
  };

  // A canvas as large as it is shown, empty.
  const blank = (canvas, plain) => {
    const wide = canvas.clientWidth || plain[0], high = canvas.clientHeight || plain[1];
    const dots = Math.min(3, window.devicePixelRatio || 1);
    canvas.width = Math.round(wide * dots);
    canvas.height = Math.round(high * dots);
    const g = canvas.getContext('2d');
    g.setTransform(dots, 0, 0, dots, 0, 0);
    return { g, wide, high };
  };

  // Draws into a canvas as somebody sees it who looks that way; gives what was drawn, far to near.
  const draw = (canvas, view, fit, turns) => {
    const { g, wide, high } = blank(canvas, [600, 420]);
    g.fillStyle = ground;
    g.fillRect(0, 0, wide, high);
    const { look, right, up } = view;
    const { middle, scale } = fit(wide, high, view);
    const place = (p) => {
      const d = sub(p, middle);
      return [wide / 2 + scale * dot(d, right), high / 2 - scale * dot(d, up)];
    };
    g.lineJoin = g.lineCap = 'round';
    const ruled = (piece) => {
      g.setLineDash([]);
      g.strokeStyle = piece.bolt === 0 ? mixed(ground, ink, 0.38) : piece.opening === 1 ? mixed(ground, ink, 0.6) : ink;
      g.lineWidth = piece.opening ? [0, 1, 2][piece.opening] : [0.9, 1.3, 3.4][piece.bolt];
      g.beginPath();
      g.moveTo(...place(piece.points[0]));
      g.lineTo(...place(piece.points[1]));
      g.stroke();
      if (piece.plate) {
        g.fillStyle = ink;
        g.beginPath();
        g.arc(...place(piece.plate), 3.6, 0, 7);
        g.fill();
      }
    };
    const drawn = [];
    for (const piece of order(tree, look)) {
      const at = piece.points.map(place);
      drawn.push({ piece, at });
      if (piece.line) {
        ruled(piece);
        continue;
      }
      // Faces turned away are darker, so that neighbours are told apart.
      const light = 0.72 + 0.28 * Math.abs(dot(piece.plane.n, look));
      const colour = piece.set === undefined ? ink : data.sets[piece.set].colour;
      const share = piece.floor ? 0.06 : piece.face ? (piece.chosen ? 0.2 : 0.05) : piece.chosen ? 0.46 : 0.1;
      g.fillStyle = mixed(ground, colour, share * (1.35 - 0.35 * light) * (piece.chosen ? light + 0.28 : 1));
      g.beginPath();
      at.forEach((p, i) => (i ? g.lineTo(...p) : g.moveTo(...p)));
      g.closePath();
      g.fill();
      // Closes the seam to its neighbour.
      g.setLineDash([]);
      g.strokeStyle = g.fillStyle;
      g.lineWidth = 0.7;
      g.stroke();
      if (piece.set === undefined) continue;
      const { dash } = data.sets[piece.set];
      g.strokeStyle = piece.chosen ? colour : mixed(ground, colour, 0.55);
      g.lineWidth = piece.chosen ? 2.2 : 1;
      g.setLineDash(dash.map((d) => Math.max(0.1, 2.4 * d)));
      piece.edges.forEach((edge, i) => {
        if (!edge) return;
        g.beginPath();
        g.moveTo(...at[i]);
        g.lineTo(...at[(i + 1) % at.length]);
        g.stroke();
      });
    }
    g.setLineDash([]);
    if (!turns) {
      // Wedges end at the outline: it stays whole.
      g.strokeStyle = ink;
      g.lineWidth = 2.4;
      g.beginPath();
      data.outline.map(([u, v]) => place([u, stretch[0], v])).forEach((p, i) => (i ? g.lineTo(...p) : g.moveTo(...p)));
      g.closePath();
      g.stroke();
      // Bolts of other rings lie over those that cross the wedge.
      drawn.filter((d) => d.piece.bolt > 0).forEach((d) => ruled(d.piece));
    }
    letter(g, place, look);
    scaleBar(g, wide, high, scale);
    // A picture on paper has no place beside it for them.
    if (turns && onPaper) axes(g, [wide - 58, high - 48], wide, view);
    return drawn;
  };

  const written = (g, words, x, y, weight = '') => {
    g.font = `${weight} 13px "DejaVu Sans",Verdana,sans-serif`;
    g.lineWidth = 4;
    g.strokeStyle = ground;
    g.fillStyle = ink;
    g.strokeText(words, x, y);
    g.fillText(words, x, y);
  };

  // The names of the sets on those joints that look this way.
  const letter = (g, place, look) => {
    const body = chosen.sizes[shown];
    const middle = own.reduce((a, p) => a.map((x, k) => x + p[k] / own.length), [0, 0, 0]);
    g.textAlign = 'center';
    g.textBaseline = 'middle';
    body.j.forEach((trace, k) => {
      const p = [own[0], ...trace.map((i) => own[i])];
      const plane = planeOf([p[0], p[1], p[p.length - 1]]);
      if (!plane) return;
      const out = dot(plane.n, middle) > plane.at ? -1 : 1;
      if (out * dot(plane.n, look) > -0.05) return;
      const half = p[1 + Math.floor((p.length - 1) / 2)];
      written(g, data.sets[chosen.sets[k]].name, ...place(along(p[0], along(half, along(p[1], p[p.length - 1], 0.5), 0.5), 0.62)), 'bold');
    });
  };

  // Scale bar, on a rim of paper: a drive that is looked at from near goes on below it.
  const scaleBar = (g, wide, high, scale) => {
    const metres = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].filter((m) => m * scale <= 0.24 * wide).pop() || 0.1;
    g.beginPath();
    g.moveTo(14, high - 20);
    g.lineTo(14, high - 14);
    g.lineTo(14 + metres * scale, high - 14);
    g.lineTo(14 + metres * scale, high - 20);
    for (const [style, width] of [[ground, 7], [ink, 2]]) {
      g.strokeStyle = style;
      g.lineWidth = width;
      g.stroke();
    }
    g.textAlign = 'left';
    g.textBaseline = 'bottom';
    written(g, `${metres} m`, 20, high - 18);
  };

  // North, the advance and up from a point, as far as the view does not look along them; names stay on the canvas,
  // which is `edge` wide.
  const axes = (g, at, edge, { right, up }) => {
    for (const [direction, name] of [[data.north, 'N'], [[0, 1, 0], 'advance'], [[0, 0, 1], 'up']]) {
      const tip = [at[0] + 26 * dot(direction, right), at[1] - 26 * dot(direction, up)];
      const length = Math.hypot(tip[0] - at[0], tip[1] - at[1]);
      if (length < 5) continue;
      g.lineWidth = 1.2;
      g.strokeStyle = ink;
      g.beginPath();
      g.moveTo(...at);
      g.lineTo(...tip);
      g.stroke();
      g.textAlign = 'center';
      g.textBaseline = 'middle';
      const beyond = 1 + 11 / length;
      const half = g.measureText(name).width / 2;
      const x = Math.max(4 + half, Math.min(at[0] + (tip[0] - at[0]) * beyond, edge - 4 - half));
      written(g, name, x, at[1] + (tip[1] - at[1]) * beyond);
    }
  };

  // Of the opening, the wedge and its bolts.
  const middleOf = () => {
    const bolts = chosen.sizes[shown].bolts.map(([at, direction, length]) => step(at, direction, length));
    const all = [...own, ...bolts, ...[size.low, size.high].map(([u, v]) => [u, own[0][1], v])];
    const middle = (k, points) => (Math.min(...points.map((p) => p[k])) + Math.max(...points.map((p) => p[k]))) / 2;
    return [middle(0, all), middle(1, own), middle(2, all)];
  };

  // In space: all of the stretch whichever way it is turned.
  const fitSpace = (wide, high) => {
    const middle = middleOf();
    const half = Math.hypot(stretch[1] - stretch[0], reach) / 2;
    return { middle, scale: (camera.zoom * Math.min(wide / 2.2, high / 1.8)) / half };
  };

  // Along the drive: all that stands near the opening.
  const fitAlong = (wide, high) => {
    const [us, vs] = [seen.map((p) => p[0]), seen.map((p) => p[2])];
    const [left, right, low, top] = [Math.min(...us), Math.max(...us), Math.min(...vs), Math.max(...vs)];
    const scale = 0.94 * Math.min(wide / (right - left), (high - 30) / (top - low));
    // The scale bar has its strip below.
    return { middle: [(left + right) / 2, 0, (low + top) / 2 - 14 / scale], scale };
  };

  const make = (tag, more = {}, ...inside) => {
    const element = Object.assign(document.createElement(tag), more);
    element.append(...inside);
    return element;
  };
  const space = make('canvas', { className: 'space', tabIndex: 0 });
  const section = make('canvas', { className: 'along' });
  // Beside the buttons: over the drive its names would stand in it from one side or another.
  const compass = make('canvas', { className: 'compass', role: 'img', ariaLabel: 'where north, the advance and up are' });
  let drawnInSpace = [];
  let waiting = false;
  const ALONG = lookOf({ yaw: 0, pitch: 0 });
  const paint = () => {
    waiting = false;
    drawnInSpace = draw(space, lookOf(camera), fitSpace, true);
    draw(section, ALONG, fitAlong, false);
    const { g, wide, high } = blank(compass, [128, 84]);
    axes(g, [wide / 2, high / 2], wide, lookOf(camera));
  };
  const redraw = () => {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(paint);
    }
  };

  // ---- what is said and chosen beside it

  const facts = make('dl');
  const list = make('select');
  data.wedges.forEach((w, i) => list.append(new Option(`${w.id}: ${w.verdict}${i === 0 && w.short ? ', lacks most' : ''}`, w.id)));
  const slider = make('input', { type: 'range', min: 0, step: 1 });
  slider.setAttribute('aria-label', 'size of the wedge');
  const marks = make('div', { className: 'marks' });
  const said = make('p', { className: 'said' });
  said.setAttribute('aria-live', 'polite');

  const tell = () => {
    const body = chosen.sizes[shown];
    const rows = [
      ['where', chosen.where],
      ['weighs', `${body.kn} kN (${body.m3} m³)${body.tag ? ', ' + (body.tag === 'decides' ? 'the piece that decides' : body.tag) : ''}`],
      ['verdict', chosen.decided],
      ['held by', chosen.by],
      ['bolts', body.bolts.length
        ? `${body.bolts.length === 1 ? '1 crosses it' : body.bolts.length + ' cross it'}: ${body.bolts.map((b) => `${b[5]} of ${b[4]} kN`).join(', ')} against the movement`
        : data.patterns.length ? 'none crosses it there' : 'none'],
      ['missing', chosen.missing ? `${chosen.missing} kN` : chosen.verdict === 'not judged' ? 'not judged' : 'nothing'],
      ...(chosen.mends ? [['mended by', chosen.mends]] : []),
    ];
    facts.replaceChildren(...rows.flatMap(([what, words]) => [make('dt', {}, what), make('dd', {}, words)]));
    said.replaceChildren(make('b', {}, `${body.m3} m³, ${body.kn} kN`), ` ${body.said}.`);
    slider.value = shown;
    slider.setAttribute('aria-valuetext', `${body.m3} m³: ${body.said}`);
    space.setAttribute('aria-label', `${chosen.id} in the drive, ${body.m3} m³; arrow keys turn it`);
    for (const mark of marks.children) mark.setAttribute('aria-pressed', String(Number(mark.dataset.at) === shown));
  };

  const sizeTo = (at) => {
    shown = Math.max(0, Math.min(chosen.sizes.length - 1, at));
    build();
    tell();
    redraw();
  };

  const choose = (id) => {
    const wedge = data.wedges.find((w) => w.id === id);
    if (!wedge) return;
    chosen = wedge;
    list.value = id;
    slider.max = wedge.sizes.length - 1;
    slider.closest('.sizes').hidden = wedge.sizes.length < 2;
    marks.replaceChildren(...wedge.sizes.flatMap((s, i) => (s.tag ? [make('button', { type: 'button', onclick: () => sizeTo(i) }, `${s.tag} ${s.m3} m³`)] : [])));
    const tagged = wedge.sizes.flatMap((s, i) => (s.tag ? [i] : []));
    [...marks.children].forEach((mark, i) => { mark.dataset.at = tagged[i]; });
    sizeTo(wedge.shown);
    if (!turned) Object.assign(camera, first());
  };
  document.addEventListener('choose', ({ detail }) => choose(detail));
  const chooseEverywhere = (id) => document.dispatchEvent(new CustomEvent('choose', { detail: id }));
  list.addEventListener('change', () => chooseEverywhere(list.value));
  slider.addEventListener('input', () => sizeTo(Number(slider.value)));

  // ---- turning

  const turn = (yaw, pitch) => {
    turned = true;
    camera.yaw = (camera.yaw + yaw + 540) % 360 - 180;
    camera.pitch = Math.max(-90, Math.min(90, camera.pitch + pitch));
    redraw();
  };
  const zoom = (by) => {
    camera.zoom = Math.max(0.4, Math.min(12, camera.zoom * by));
    redraw();
  };
  const look = (to) => { turned = true; Object.assign(camera, to); redraw(); };
  const back = () => { turned = false; Object.assign(camera, first()); redraw(); };
  const KEYS = {
    ArrowLeft: () => turn(-5, 0), ArrowRight: () => turn(5, 0), ArrowUp: () => turn(0, 5), ArrowDown: () => turn(0, -5),
    '+': () => zoom(1.2), '=': () => zoom(1.2), '-': () => zoom(1 / 1.2), 0: back,
  };
  space.addEventListener('keydown', (event) => {
    const act = !event.ctrlKey && !event.metaKey && !event.altKey && KEYS[event.key];
    if (act) { event.preventDefault(); act(); }
  });
  let grip = null;
  space.addEventListener('pointerdown', (event) => {
    grip = { x: event.clientX, y: event.clientY, far: 0 };
    try { space.setPointerCapture(event.pointerId); } catch { /* a pointer that is gone already */ }
  });
  space.addEventListener('pointermove', (event) => {
    if (!grip) return;
    const [dx, dy] = [event.clientX - grip.x, event.clientY - grip.y];
    grip = { x: event.clientX, y: event.clientY, far: grip.far + Math.abs(dx) + Math.abs(dy) };
    turn(0.45 * dx, 0.45 * dy);
  });
  const inside = (at, x, y) => {
    let odd = false;
    for (let i = 0, j = at.length - 1; i < at.length; j = i++) {
      const [a, b] = [at[i], at[j]];
      if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd;
    }
    return odd;
  };
  space.addEventListener('pointerup', (event) => {
    if (grip && grip.far < 5) {
      const frame = space.getBoundingClientRect();
      const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
      const hit = [...drawnInSpace].reverse().find((d) => d.piece.wedge && inside(d.at, x, y));
      if (hit) chooseEverywhere(hit.piece.wedge.id);
    }
    grip = null;
  });
  space.addEventListener('pointercancel', () => { grip = null; });

  const button = (words, says, act) => make('button', { type: 'button', title: says, ariaLabel: says, onclick: act }, words);
  const turns = make('div', { className: 'turns' },
    button('◀', 'turn left', () => turn(-15, 0)), button('▶', 'turn right', () => turn(15, 0)),
    button('▲', 'more from above', () => turn(0, 15)), button('▼', 'more from below', () => turn(0, -15)),
    button('+', 'nearer', () => zoom(1.25)), button('−', 'further', () => zoom(0.8)),
    button('as at first', 'as at first', back),
    button('along the advance', 'along the advance', () => look({ yaw: 0, pitch: 0 })),
    button('from above', 'from above', () => look({ yaw: 0, pitch: 90 })));
  const both = make('input', { type: 'checkbox', checked: true, onchange: () => { others = both.checked; build(); redraw(); } });
  turns.append(make('label', {}, both, ' other wedges'));

  const notes = ['Drag, arrow keys or buttons turn it; a wedge that is clicked is chosen. Thin: bolt inside the wedge, thick: beyond the joint, grey: other bolts of the pattern. Other wedges stand pale, moved along the drive by whole periods of the pattern.'];
  if (data.left_out) notes.push(`Not here: ${data.left_out} wedges that matter less.`);
  if (data.without_sizes) notes.push(`${data.without_sizes} ${data.without_sizes === 1 ? 'wedge is' : 'wedges are'} shown without the sizes between; size_curve.csv has them.`);

  root.append(
    make('h2', {}, 'The drive in space'),
    make('div', { className: 'facts' }, make('label', {}, 'wedge ', list), facts),
    make('figure', {}, space, make('figcaption', { className: 'turned' }, compass, turns)),
    make('figure', {}, section, make('figcaption', {}, make('p', {}, 'Section, looking along the advance, with the bolts of the stretch'))),
    make('div', { className: 'sizes' }, make('label', {}, 'size, smallest to largest that was studied ', slider), marks, said),
    ...notes.map((words) => make('p', { className: 'small' }, words)),
  );
  root.hidden = false;
  colours(false);
  new ResizeObserver(redraw).observe(space);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => { colours(false); redraw(); });

  // Paper gets a picture of what is seen, in the colours of paper.
  const still = document.querySelector('.still');
  const drawing = still ? [...still.childNodes] : [];
  addEventListener('beforeprint', () => {
    // The drawing that stands there shows what the page opens with, in lines that print sharper.
    if (!still) return;
    if (drawing.length && !turned && chosen === data.wedges[0] && shown === chosen.shown) {
      still.replaceChildren(...drawing);
      return;
    }
    colours(true);
    onPaper = true;
    paint();
    onPaper = false;
    still.replaceChildren(
      make('p', {}, `${chosen.id} in the drive, ${chosen.sizes[shown].m3} m³: ${chosen.sizes[shown].said}.`),
      make('img', { src: space.toDataURL(), alt: '' }), make('img', { src: section.toDataURL(), alt: '' }));
    colours(false);
    paint();
  });

  chooseEverywhere(chosen.id);
  // For the tests of the page.
  root.drawn = (yaw, pitch) => order(tree, lookOf({ yaw, pitch }).look);
  root.camera = camera;
})();
