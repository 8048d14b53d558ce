//! Redoes the calculation sheet by separate code, from the digits that the sheet prints and
//! nothing else: normals, edges, apex, volume, weight, mode, N and T, each bolt, both factors.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::collections::BTreeMap;

use assert_cmd::Command;

type Row = BTreeMap<String, String>;

/// Every Markdown table of the sheet as rows of cells by column name.
fn tables(sheet: &str) -> Vec<Vec<Row>> {
    let mut tables = Vec::new();
    let mut lines = sheet.lines().peekable();
    while let Some(line) = lines.next() {
        let rule = lines.peek().is_some_and(|next| next.starts_with("|---"));
        if !(line.starts_with('|') && rule) {
            continue;
        }
        lines.next();
        let cells = |line: &str| -> Vec<String> {
            line.trim_matches('|').split('|').map(|c| c.trim().to_owned()).collect()
        };
        let header = cells(line);
        let mut rows = Vec::new();
        while let Some(next) = lines.peek().filter(|l| l.starts_with('|')) {
            rows.push(header.iter().cloned().zip(cells(next)).collect());
            lines.next();
        }
        tables.push(rows);
    }
    tables
}

fn table_with<'a>(tables: &'a [Vec<Row>], column: &str) -> &'a [Row] {
    tables
        .iter()
        .find(|t| t.first().is_some_and(|row| row.contains_key(column)))
        .unwrap_or_else(|| panic!("no table with a column {column}"))
}

fn number(row: &Row, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column}: {}", row[column]))
}

type V = [f64; 3];

fn vector(row: &Row, names: [&str; 3]) -> V {
    names.map(|n| number(row, n))
}

fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn scaled(a: V, k: f64) -> V {
    a.map(|x| x * k)
}

fn minus(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// The number that follows `before` in the sheet's text.
fn after(sheet: &str, before: &str) -> f64 {
    let start = sheet.find(before).unwrap_or_else(|| panic!("no «{before}»")) + before.len();
    let digits: String =
        sheet[start..].chars().take_while(|c| c.is_ascii_digit() || *c == '.' || *c == '-').collect();
    digits.trim_end_matches('.').parse().unwrap_or_else(|_| panic!("no number after «{before}»"))
}

/// The apex on the first line that gives one.
fn apex(sheet: &str) -> V {
    let line = sheet.lines().find(|l| l.starts_with("Apex: u ")).unwrap();
    let numbers: Vec<f64> = line.split_whitespace().filter_map(|w| w.parse().ok()).collect();
    [numbers[0], numbers[1], numbers[2]]
}

/// What six decimals can carry through a chain of products of this size.
fn near(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance * (1.0 + a.abs().max(b.abs())), "{what}: {a} and {b}");
}

fn redo(sheet: &str) {
    let tables = tables(sheet);
    // Joints: normals from dip and dip direction, through the axes.
    let axes: Vec<V> =
        table_with(&tables, "axis").iter().map(|r| vector(r, ["east", "north", "up"])).collect();
    let joints = table_with(&tables, "dip_deg");
    let mut inward = Vec::new();
    for row in joints {
        let (dip, dd) = (number(row, "dip_deg").to_radians(), number(row, "dip_direction_deg").to_radians());
        let n = [dip.sin() * dd.sin(), dip.sin() * dd.cos(), dip.cos()];
        let sign = if row["side"] == "1" { -1.0 } else { 1.0 };
        let m = [0, 1, 2].map(|k| sign * dot(n, axes[k]));
        let printed = vector(row, ["m_u", "m_s", "m_v"]);
        for k in 0..3 {
            near(m[k], printed[k], 2e-6, "normal");
        }
        inward.push(m);
    }
    // Edges and apex: every edge leads from the apex to its daylight point.
    let edges = table_with(&tables, "edge_u");
    let apex = apex(sheet);
    let mut hits = Vec::new();
    for (i, row) in edges.iter().enumerate() {
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        let mut edge = cross(inward[j], inward[k]);
        let length = dot(edge, edge).sqrt();
        edge = scaled(edge, if dot(edge, inward[i]) < 0.0 { -1.0 } else { 1.0 } / length);
        let printed = vector(row, ["edge_u", "edge_s", "edge_v"]);
        let hit = vector(row, ["daylight_u_m", "daylight_s_m", "daylight_v_m"]);
        for k in 0..3 {
            near(edge[k], printed[k], 2e-6, "edge");
            near(apex[k] + edge[k] * number(row, "length_m"), hit[k], 1e-5, "daylight");
        }
        hits.push(hit);
    }
    // Volume from the faces.
    let faces = table_with(&tables, "height_m");
    let volume: f64 = faces
        .iter()
        .filter(|r| r["facet"] != "sum")
        .map(|r| number(r, "area_m2") * number(r, "height_m") / 3.0)
        .sum();
    let sum = faces.iter().find(|r| r["facet"] == "sum").unwrap();
    near(volume, number(sum, "volume_m3"), 2e-5, "volume");
    // Weight and mode.
    let unit_weight = after(sheet, "W = ");
    let weight = unit_weight * number(sum, "volume_m3");
    let force = scaled([axes[0][2], axes[1][2], axes[2][2]], -weight);
    let products: Vec<f64> = inward.iter().map(|m| dot(force, *m)).collect();
    for (row, product) in table_with(&tables, "F·m kN").iter().zip(&products) {
        near(*product, number(row, "F·m kN"), 1e-4, "F·m");
    }
    if sheet.contains("**no motion**") {
        assert!(products.iter().any(|p| *p < 0.0));
        return;
    }
    let falling = products.iter().all(|p| *p >= 0.0);
    assert_eq!(falling, sheet.contains("**Falling**"));
    let movement = vector(&table_with(&tables, "plunge_deg")[0], ["u", "s", "v"]);
    let pressed: Vec<usize> = (0..3).filter(|&i| sheet_slides_on(sheet, &joints[i]["joint"])).collect();
    // N and T: the force on −m of the pressed joints and the movement.
    let (normals, driving) = decompose(force, &inward, &pressed, movement);
    let mut resistance = 0.0;
    let areas = table_with(&tables, "face_area_m2");
    let mut by_joint = BTreeMap::new();
    for (&i, normal) in pressed.iter().zip(&normals) {
        let cohesion = number(&joints[i], "cohesion_kpa") * number(&areas[i], "face_area_m2");
        let tan = number(&joints[i], "friction_deg").to_radians().tan();
        resistance += cohesion + normal * tan;
        by_joint.insert(i, (cohesion, *normal, tan));
    }
    if falling {
        near(weight, driving, 2e-6, "T");
    } else {
        near(resistance / driving, after_equals(sheet, "FS bare = "), 2e-4, "bare factor");
    }
    // Bolts.
    if !sheet.contains("| L_w_m |") {
        assert!(sheet.contains("No bolt crosses it at its worst placement"));
        return;
    }
    let mut along = 0.0;
    let mut added: BTreeMap<usize, f64> = BTreeMap::new();
    for row in table_with(&tables, "L_w_m") {
        let collar = vector(row, ["collar_u_m", "collar_s_m", "collar_v_m"]);
        let d = vector(row, ["d_u", "d_s", "d_v"]);
        let reach = |i: usize| {
            let into = dot(inward[i], d);
            if into < 0.0 { -dot(inward[i], minus(collar, apex)) / into } else { f64::INFINITY }
        };
        let off =
            |i: usize| row.get(["off_1_m", "off_2_m", "off_3_m"][i]).map_or(0.0, |m| m.parse().unwrap());
        // As far as a collar off its place may leave it: the least inside, and the least beyond.
        let moved = |i: usize, sign: f64| reach(i) + sign * off(i) / dot(inward[i], d).abs();
        let head = (0..3).map(|i| moved(i, -1.0)).fold(f64::INFINITY, f64::min);
        let most = (0..3).map(|i| moved(i, 1.0)).fold(f64::INFINITY, f64::min);
        near(head, number(row, "L_w_m"), 5e-5, "head side");
        let kind = format!("Pattern {}: ", row["pattern"]);
        let line = sheet.lines().find(|l| l.starts_with(&kind)).unwrap();
        let in_hole = after(line, "in the hole ");
        near(in_hole - most, number(row, "L_a_m"), 5e-5, "toe side");
        let (steel, plate) = (after(line, "steel "), after(line, "plate "));
        let toe = in_hole - most;
        let capacity = if line.contains("bond ") {
            let bond = after(line, "bond ");
            steel.min(bond * toe).min(plate + bond * head)
        } else {
            let (anchor, anchor_length) = (after(line, "anchor "), after(line, " kN over "));
            steel.min(if toe >= anchor_length { anchor } else { 0.0 }).min(plate)
        };
        near(capacity, number(row, "B_kn"), 2e-4, "capacity");
        let against = -dot(d, movement);
        let (parts, _) = decompose(d, &inward, &pressed, movement);
        let gain: f64 = against + pressed.iter().zip(&parts).map(|(i, n)| n * by_joint[i].2).sum::<f64>();
        let share = if against > 0.0 && gain > 0.0 { capacity * gain } else { 0.0 };
        near(share, number(row, "share_kn"), 5e-4, "share");
        if share > 0.0 {
            along += capacity * against;
            for (i, n) in pressed.iter().zip(&parts) {
                *added.entry(*i).or_default() += capacity * n;
            }
        }
    }
    let mut total = along;
    for (i, (cohesion, normal, tan)) in &by_joint {
        let normal = normal + added.get(i).copied().unwrap_or(0.0);
        if normal >= 0.0 {
            total += cohesion + normal * tan;
        }
    }
    near(total / driving, after_equals(sheet, "FS with bolts = "), 5e-4, "bolted factor");
}

/// The joint stands among those of «sliding on A and B».
fn sheet_slides_on(sheet: &str, joint: &str) -> bool {
    let Some(start) = sheet.find("**sliding on ") else { return false };
    let list = sheet[start + "**sliding on ".len()..].split("**").next().unwrap();
    list.split(" and ").any(|name| name == joint)
}

/// The last number of the line that holds `before`.
fn after_equals(sheet: &str, before: &str) -> f64 {
    let line = sheet.lines().find(|l| l.contains(before)).unwrap_or_else(|| panic!("no «{before}»"));
    line.rsplit("= ").next().unwrap().trim().parse().unwrap()
}

/// Components of a force on −m of the pressed joints, and along the movement.
fn decompose(force: V, inward: &[V], pressed: &[usize], movement: V) -> (Vec<f64>, f64) {
    let along = dot(force, movement);
    match pressed {
        [] => (vec![], along),
        [i] => (vec![-dot(force, inward[*i])], along),
        [i, j] => {
            // force = −a mᵢ − b mⱼ + along · movement, by Cramer's rule on mᵢ and mⱼ.
            let c = dot(inward[*i], inward[*j]);
            let (p, q) = (dot(force, inward[*i]), dot(force, inward[*j]));
            let det = 1.0 - c * c;
            (vec![-(p - c * q) / det, -(q - c * p) / det], along)
        }
        _ => panic!("three joints"),
    }
}

fn sum(a: V, b: V) -> V {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// Adds up the forces and moments that the sheet prints, and follows its movement: that the
/// forces reach the factor, and that no bolts of these capacities reach more.
fn redo_moments(sheet: &str) -> bool {
    let section = sheet.split("## 8 ").nth(1).unwrap().split("## 9 ").next().unwrap();
    if !section.contains("λ ≤") {
        return false;
    }
    let tables = tables(section);
    let given = table_with(&tables, "u");
    let of = |rows: &[Row], name: &str| -> V {
        vector(rows.iter().find(|r| r[""] == name).unwrap(), ["u", "s", "v"])
    };
    let (centroid, force) = (of(given, "centroid, m"), of(given, "F, kN"));
    let factor: f64 = after(section, "with λ = ");
    let (mut forces, mut moments) = (scaled(force, factor), [0.0; 3]);
    let mut add = |point: V, push: V| {
        forces = sum(forces, push);
        moments = sum(moments, cross(minus(point, centroid), push));
    };
    let movement = tables.iter().find(|t| t.first().is_some_and(|row| row.contains_key("movement"))).unwrap();
    let by_name =
        |name: &str| vector(movement.iter().find(|r| r["movement"] == name).unwrap(), ["u", "s", "v"]);
    let (shift, turn) = (by_name("of the centroid, m"), by_name("turn about it, rad"));
    let moved = |point: V| sum(shift, cross(turn, minus(point, centroid)));
    let mut work = 0.0;
    for bolt in tables
        .iter()
        .find(|t| t.first().is_some_and(|row| row.contains_key("T_kn")))
        .map(Vec::as_slice)
        .unwrap_or_default()
    {
        let collar = vector(bolt, ["collar_u_m", "collar_s_m", "collar_v_m"]);
        let direction = vector(bolt, ["d_u", "d_s", "d_v"]);
        let (capacity, pull) = (number(bolt, "B_kn"), number(bolt, "T_kn"));
        assert!((0.0..=capacity + 1e-6).contains(&pull));
        add(collar, scaled(direction, pull));
        work += capacity * (-dot(direction, moved(collar))).max(0.0);
    }
    for corner in tables
        .iter()
        .find(|t| t.first().is_some_and(|row| row.contains_key("N_kn")))
        .map(Vec::as_slice)
        .unwrap_or_default()
    {
        let point = vector(corner, ["corner_u_m", "corner_s_m", "corner_v_m"]);
        let normal = vector(corner, ["m_u", "m_s", "m_v"]);
        assert!(number(corner, "N_kn") >= 0.0);
        // A corner that presses neither opens nor goes into its joint.
        near(dot(normal, moved(point)), 0.0, 1e-4, "a corner that presses stays");
        add(point, scaled(normal, number(corner, "N_kn")));
    }
    let room = 1e-3 * (1.0 + factor) * dot(force, force).sqrt();
    for part in forces.iter().chain(&moments) {
        near(*part, 0.0, room, "forces and moments");
    }
    near(work / dot(force, shift), factor, 1e-3 * (1.0 + factor), "work");
    true
}

/// The bolts round the gap wedge, from the printed apex and normals: none is in its cone where
/// the sheet says so, and no collar is on its face.
fn redo_gap(sheet: &str) -> usize {
    let section = sheet.split("## 9 ").nth(1).unwrap().split("## 10 ").next().unwrap();
    if !section.contains("Apex: u ") {
        return 0;
    }
    let all = tables(sheet);
    let joints = table_with(&all, "friction_deg");
    let inward: Vec<V> = joints.iter().map(|j| vector(j, ["m_u", "m_s", "m_v"])).collect();
    let apex = apex(section);
    let rows = tables(section);
    let mut outside = 0;
    for row in table_with(&rows, "least m·r m").iter().filter(|r| r["pattern"] != "none") {
        let collar = vector(row, ["collar_u_m", "collar_s_m", "collar_v_m"]);
        let least = inward.iter().map(|m| dot(*m, minus(collar, apex))).fold(f64::INFINITY, f64::min);
        near(least, number(row, "least m·r m"), 1e-5, "least m·r");
        assert!(least < 1e-5 || row["t_out_m"].contains("not where"), "a collar on the face");
        outside += usize::from(least < 0.0);
    }
    outside
}

fn sheets_of(sample: &str) -> Vec<(String, String)> {
    let case = backhold::case::read_case(sample.as_ref()).unwrap().case;
    let whole = backhold::study::check(&case).unwrap();
    let curve = |id: &str| whole.sizes.iter().find(|c| c.wedge == id);
    let wedges = whole.check.wedges.iter();
    wedges
        .map(|w| {
            (
                w.wedge.id.clone(),
                backhold::report::calculation_sheet(
                    &case,
                    &whole.check,
                    w,
                    curve(&w.wedge.id),
                    backhold::report::Followed::Deciding,
                ),
            )
        })
        .collect()
}

#[test]
fn the_program_prints_the_same_sheet() {
    let (id, sheet) = sheets_of("samples/short_drive.toml").pop().unwrap();
    let output = Command::cargo_bin("backhold")
        .unwrap()
        .args(["explain", "samples/short_drive.toml", "--wedge", &id])
        .output()
        .unwrap();
    assert!(output.status.success());
    assert_eq!(String::from_utf8(output.stdout).unwrap().trim_end(), sheet.trim_end());
}

#[test]
fn sheets_of_the_samples_can_be_redone_by_hand() {
    let (mut redone, mut moments, mut outside) = (0, 0, 0);
    for sample in [
        "samples/haulage.toml",
        "samples/short_drive.toml",
        "samples/crosscut_incline.toml",
        "samples/haulage_four_sets.toml",
    ] {
        for (_, sheet) in sheets_of(sample) {
            redo(&sheet);
            moments += usize::from(redo_moments(&sheet));
            outside += redo_gap(&sheet);
            redone += 1;
        }
    }
    assert!(redone >= 12, "{redone}");
    assert!(moments >= 6 && outside >= 30, "{moments} {outside}");
}
