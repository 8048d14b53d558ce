// What a reader does to the page; what came of it stands in an element "found" as JSON.
addEventListener('load', () => setTimeout(() => {
  const found = {};
  const frame = () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  const view = document.querySelector('.view');
  const space = view.querySelector('.space');
  const list = view.querySelector('select');
  const slider = view.querySelector('input[type=range]');
  const rowOf = (id) => [...document.querySelectorAll('td[data-h=wedge]')].find((td) => td.textContent === id).parentElement;
  const chosenRows = () => [...new Set([...document.querySelectorAll('tr.chosen td[data-h=wedge]')].map((td) => td.textContent))];
  const change = (element, value, name) => { element.value = value; element.dispatchEvent(new Event(name)); };

  const choices = async () => {
    found.first = list.value;
    rowOf('A-B-C.111').querySelector('button').click();
    const sheet = [...document.querySelectorAll('summary.chosen')].map((s) => s.textContent);
    found.by_row = [list.value, sheet.includes('A-B-C.111'), view.textContent.includes('7.77 kN')];
    change(list, 'A-B-C.010', 'change');
    found.by_list = chosenRows();
    [...document.querySelectorAll('figure>svg text')].find((t) => t.textContent.trim() === 'A-B-C.101').dispatchEvent(new MouseEvent('click', { bubbles: true }));
    found.by_drawing = chosenRows();
  };

  const turns = async () => {
    const picture = async () => { await frame(); return space.toDataURL(); };
    const turned = async (act) => { const before = await picture(); act(); return (await picture()) !== before; };
    found.by_key = await turned(() => space.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', cancelable: true })));
    const at = (name, x, y) => space.dispatchEvent(new PointerEvent(name, { clientX: x, clientY: y, pointerId: 1, bubbles: true }));
    found.by_pointer = await turned(() => { at('pointerdown', 300, 300); at('pointermove', 360, 330); at('pointerup', 360, 330); });
    found.by_button = await turned(() => view.querySelector('.turns button').click());
    [...view.querySelectorAll('.turns button')].find((b) => b.textContent === 'as at first').click();
    await frame();
    // A click somewhere on the canvas meets another wedge.
    const frameOf = space.getBoundingClientRect();
    found.by_click = false;
    for (let x = 4; x < frameOf.width && !found.by_click; x += 6) {
      for (let y = 4; y < frameOf.height && !found.by_click; y += 6) {
        at('pointerdown', frameOf.left + x, frameOf.top + y);
        at('pointerup', frameOf.left + x, frameOf.top + y);
        found.by_click = list.value !== 'A-B-C.101';
      }
    }
  };

  const sizes = async () => {
    change(list, 'A-B-C.111', 'change');
    found.sizes = [];
    found.said = [];
    for (let i = 0; i <= Number(slider.max); i++) {
      change(slider, i, 'input');
      const said = view.querySelector('.said').textContent;
      found.said.push(said);
      found.sizes.push(said.split(' ')[0]);
    }
  };

  const sorting = () => {
    const table = rowOf('A-B-C.111').closest('table');
    const heads = [...table.tHead.rows[0].cells];
    const column = heads.findIndex((th) => th.textContent === 'kN');
    found.sorted = [1, 2].map(() => {
      heads[column].querySelector('button').click();
      return [...table.tBodies[0].rows].map((row) => (row.cells[column].textContent === '' ? null : Number(row.cells[column].textContent)));
    });
  };

  // Areas that lie over each other as seen from a side: the one that is drawn later must not lie behind.
  const drawing = () => {
    const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    const inside = (at, x, y) => {
      let sign = 0;
      for (let i = 0; i < at.length; i++) {
        const [a, b] = [at[i], at[(i + 1) % at.length]];
        const turn = (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]);
        if (Math.abs(turn) < 1e-6) return false;
        if (sign && Math.sign(turn) !== sign) return false;
        sign = Math.sign(turn);
      }
      return true;
    };
    found.over = found.out_of_order = 0;
    found.worst = 0;
    for (const id of ['A-B-C.111', 'A-B-C.101']) {
      change(list, id, 'change');
      for (const yaw of [-170, -120, -61, -20, 0, 33, 74, 130, 179]) {
        for (const pitch of [-80, -35, 0, 21, 66, 90]) {
          const [y, p] = [(yaw * Math.PI) / 180, (pitch * Math.PI) / 180];
          const look = [Math.sin(y) * Math.cos(p), Math.cos(y) * Math.cos(p), -Math.sin(p)];
          const right = [Math.cos(y), -Math.sin(y), 0];
          const up = [right[1] * look[2], -right[0] * look[2], right[0] * look[1] - right[1] * look[0]];
          const drawn = view.drawn(yaw, pitch).filter((d) => !d.line);
          const flat = drawn.map((d) => d.points.map((q) => [dot(q, right), dot(q, up)]));
          const middle = drawn.map((d) => [0, 1, 2].map((k) => d.points.reduce((sum, q) => sum + q[k], 0) / d.points.length));
          // How deep an area lies below a place of the picture, and how well that is known: coordinates are whole
          // millimetres, and an area seen nearly from its edge has them many times over in its depth.
          const depth = (i, x, y2) => {
            const { n, at } = drawn[i].plane;
            const slope = dot(n, look);
            if (Math.abs(slope) < 0.02) return null;
            return { is: (at - dot(n, right) * x - dot(n, up) * y2) / slope, within: 1e-3 / Math.abs(slope) };
          };
          for (let later = 0; later < drawn.length; later++) {
            const [x, y2] = [dot(middle[later], right), dot(middle[later], up)];
            const own = depth(later, x, y2);
            if (own === null || !inside(flat[later], x, y2)) continue;
            for (let earlier = 0; earlier < drawn.length; earlier++) {
              if (earlier === later || !inside(flat[earlier], x, y2)) continue;
              const other = depth(earlier, x, y2);
              if (other === null || Math.abs(other.is - own.is) < 4e-3 + own.within + other.within) continue;
              found.over++;
              const wrong = earlier < later ? own.is - other.is : other.is - own.is;
              if (wrong > 0) { found.out_of_order++; found.worst = Math.max(found.worst, wrong); }
            }
          }
        }
      }
    }
  };

  const tell = () => {
    found.wrong = window.wrong;
    found.resources = performance.getEntriesByType('resource').length;
    const pre = document.createElement('pre');
    pre.id = 'found';
    pre.textContent = JSON.stringify(found);
    document.body.append(pre);
  };
  (async () => { await choices(); await turns(); await sizes(); sorting(); drawing(); })()
    .catch((error) => window.wrong.push(String(error.stack)))
    .then(tell);
}, 50));
