//! What other programs read: models, drawings as lines and typed tables, each by a reader that is not ours.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use crate::program::{Run, backhold, ran};
use serde_json::Value;
use tempfile::tempdir;

/// Single precision of a body a few metres wide that counts from its apex, and the sum over its faces.
const SINGLE: f64 = 1e-6;

/// Half the last bit of single precision, as a share of a coordinate.
const HALF_BIT: f64 = 6e-8;

/// What rounding the corners of a body to single precision takes from its volume or adds to it, at most, cubic
/// metres: each of its faces moves by no more than its corners, along each of three axes.
fn rounding_m3(area_m2: f64, farthest_m: f64) -> f64 {
    3f64.sqrt() * HALF_BIT * farthest_m * area_m2
}

fn run() -> &'static Run {
    ran(&["check", "samples/haulage.toml", "--also", "models,drawings,tables"])
}

fn json(name: &str) -> Value {
    serde_json::from_str(run().text(name)).unwrap()
}

type Point = [f64; 3];

fn volume_m3(triangles: &[[Point; 3]]) -> f64 {
    let about = triangles[0][0];
    let off = |p: Point| [p[0] - about[0], p[1] - about[1], p[2] - about[2]];
    let six = |[a, b, c]: [Point; 3]| {
        let (a, b, c) = (off(a), off(b), off(c));
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.iter().map(|t| six(*t)).sum::<f64>() / 6.0
}

fn area_m2([a, b, c]: &[Point; 3]) -> f64 {
    let off = |p: &Point| [p[0] - a[0], p[1] - a[1], p[2] - a[2]];
    let (b, c) = (off(b), off(c));
    let cross = [b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0]];
    0.5 * cross.iter().map(|x| x * x).sum::<f64>().sqrt()
}

/// Whether each edge, by its places, is that of one triangle more, the other way round.
fn is_watertight(triangles: &[[Point; 3]]) -> bool {
    let bits = |p: Point| p.map(f64::to_bits);
    let mut edges = BTreeMap::new();
    for t in triangles {
        for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            *edges.entry((bits(a), bits(b))).or_insert(0) += 1;
        }
    }
    edges.iter().all(|((a, b), count)| *count == 1 && edges.get(&(*b, *a)) == Some(&1))
}

/// Triangles of a mesh by the name of their faces.
fn faces(mesh: &gltf::Mesh<'_>, blob: &[u8]) -> Vec<(String, Vec<[Point; 3]>)> {
    let face = |primitive: gltf::Primitive<'_>| {
        let reader = primitive.reader(|_| Some(blob));
        let corners: Vec<[f32; 3]> = reader.read_positions().unwrap().collect();
        let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
        assert_eq!(primitive.mode(), gltf::mesh::Mode::Triangles);
        let extras: Value = serde_json::from_str(primitive.extras().as_ref().unwrap().get()).unwrap();
        let at = |i: u32| corners[i as usize].map(f64::from);
        let triangles = indices.chunks(3).map(|t| [at(t[0]), at(t[1]), at(t[2])]).collect();
        (extras["face"].as_str().unwrap().to_owned(), triangles)
    };
    mesh.primitives().map(face).collect()
}

#[test]
fn a_reader_of_gltf_finds_closed_wedges_of_the_weight_in_the_table() {
    let glb = run().bytes("models/wedges.glb");
    let gltf = gltf::Gltf::from_slice(glb).unwrap();
    let blob = gltf.blob.as_ref().unwrap();
    let frame = json("models/frame.json");
    let mut seen = 0;
    for body in frame["bodies"].as_array().unwrap() {
        let (id, size) = (body["wedge"].as_str().unwrap(), body["size"].as_str().unwrap());
        let name = format!("{id} {size}");
        let node = gltf.nodes().find(|n| n.name() == Some(&name)).unwrap();
        let faces = faces(&node.mesh().unwrap(), blob);
        let names: Vec<&str> = faces.iter().map(|f| f.0.as_str()).collect();
        assert_eq!(names, ["A", "B", "C", "opening"], "{name}");
        let triangles: Vec<[Point; 3]> = faces.iter().flat_map(|f| f.1.clone()).collect();
        assert!(is_watertight(&triangles), "{name}");
        let off = (volume_m3(&triangles) / body["volume_m3"].as_f64().unwrap() - 1.0).abs();
        assert!(off < SINGLE, "{name} {off}");
        // y is up and z south: the place of the apex, which stands in east, north, up beside it.
        let (at, ..) = node.transform().decomposed();
        let apex: Vec<f64> = body["apex_m"].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect();
        for (there, here) in at.iter().zip([apex[0], apex[2], -apex[1]]) {
            assert!(
                (f64::from(*there) - here).abs() <= 2.0 * HALF_BIT * here.abs(),
                "{name} {at:?} {apex:?}"
            );
        }
        seen += 1;
    }
    assert!(seen >= 9, "{seen}");
    // A bolt hangs on the wedge that it crosses, in two parts.
    let bolts: Vec<&str> =
        run().text("bolts.csv").lines().skip(1).map(|l| l.split(',').next().unwrap()).collect();
    for id in bolts {
        let node = gltf.nodes().find(|n| n.name() == Some(&format!("{id} deciding"))).unwrap();
        assert!(node.children().count() >= 2, "{id}");
        for part in node.children() {
            let line = part.mesh().unwrap().primitives().next().unwrap();
            assert_eq!(line.mode(), gltf::mesh::Mode::Lines);
        }
    }
    // Volumes in wedges.csv are those of the largest.
    let wedges = json("tables/wedges.json");
    for row in wedges.as_array().unwrap() {
        let body = frame["bodies"].as_array().unwrap().iter();
        let largest = body.clone().find(|b| b["wedge"] == row["wedge"] && b["size"] == "largest").unwrap();
        assert_eq!(largest["volume_m3"], row["volume_m3"]);
    }
}

#[test]
fn a_reader_of_stl_finds_the_same_bodies_and_the_opening() {
    let frame = json("models/frame.json");
    let mut files = vec![("opening.stl".to_owned(), None)];
    for body in frame["bodies"].as_array().unwrap() {
        files.push((body["file"].as_str().unwrap().to_owned(), body["volume_m3"].as_f64()));
    }
    for (name, volume) in files {
        let bytes = run().bytes(&format!("models/{name}"));
        let mesh = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).unwrap();
        mesh.validate().unwrap_or_else(|e| panic!("{name}: {e}"));
        let at = |i: usize| {
            let v = mesh.vertices[i];
            [f64::from(v[0]), f64::from(v[1]), f64::from(v[2])]
        };
        let triangles: Vec<[Point; 3]> = mesh.faces.iter().map(|f| f.vertices.map(at)).collect();
        let found = volume_m3(&triangles);
        match volume {
            Some(volume) => {
                // Coordinates count from the drive's chainage 0, so a small wedge far from it has fewer digits.
                let area: f64 = triangles.iter().map(area_m2).sum();
                let farthest = triangles.iter().flatten().flatten().fold(0.0, |a: f64, x| a.max(x.abs()));
                let off = (found - volume).abs();
                assert!(off < SINGLE * volume + rounding_m3(area, farthest), "{name} {off}");
            }
            None => {
                let [from, to] =
                    ["opening_from_chainage_m", "opening_to_chainage_m"].map(|k| frame[k].as_f64().unwrap());
                // 5 m wide, walls 3.4 m, arch 1.6 m: between the box below its springline and the box about it.
                let area = found / (to - from);
                assert!((17.0..25.0).contains(&area), "{area}");
            }
        }
    }
}

/// Our own scan reader cuts the opening that was written into the section that it was made from.
#[test]
fn the_opening_that_is_written_is_a_scan_that_can_be_checked() {
    let dir = tempdir().unwrap();
    fs::write(dir.path().join("opening.stl"), run().bytes("models/opening.stl")).unwrap();
    let case = fs::read_to_string("samples/haulage.toml").unwrap();
    let (before, after) = case.split_once("section = { ").unwrap();
    let after = after.split_once('\n').unwrap().1;
    let scan = "section = { shape = \"scan\", file = \"opening.stl\", chainage_m = 0.0 }\n";
    let path = dir.path().join("case.toml");
    fs::write(&path, format!("{before}{scan}{after}")).unwrap();
    let out = dir.path().join("out");
    let run_of_scan = backhold().arg("check").arg(&path).arg("--out").arg(&out).assert().success();
    let said = String::from_utf8_lossy(&run_of_scan.get_output().stdout).into_owned();
    let weight = |said: &str| {
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        said.split(" lacks most: ").nth(1).map(|s| s.split(' ').next().unwrap().to_owned())
    };
    let (as_scan, as_typed) = (weight(&said).unwrap(), weight(&run().stdout).unwrap());
    let number = |text: &str| text.trim_end_matches(',').parse::<f64>().unwrap();
    // The scan's section is made simpler within what it states, a few centimetres.
    assert!((number(&as_scan) / number(&as_typed) - 1.0).abs() < 0.15, "{as_scan} {as_typed}");
}

/// The pairs of a DXF file, as the format has them.
fn pairs(text: &str) -> Vec<(u16, String)> {
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(lines.last(), Some(&""));
    let pairs = lines[..lines.len() - 1].chunks(2);
    pairs.map(|p| (p[0].trim().parse().unwrap(), p[1].to_owned())).collect()
}

#[test]
fn the_section_stands_as_lines_in_layers() {
    let text = run().text("drawings/section.dxf");
    let pairs = pairs(text);
    let has = |code: u16, value: &str| pairs.iter().any(|p| p.0 == code && p.1 == value);
    assert!(has(1, "AC1009") && pairs.last() == Some(&(0, "EOF".to_owned())));
    let layers: Vec<&str> = {
        let named = pairs.windows(2).filter(|w| w[0] == (0, "LAYER".to_owned()));
        named.map(|w| w[1].1.as_str()).collect()
    };
    for layer in ["OPENING", "A-B-C_101", "BOLTS_OTHER"] {
        assert!(layers.contains(&layer), "{layers:?}");
    }
    assert!(layers.iter().all(|l| l.len() <= 31), "{layers:?}");
    // The opening's lines close, and reach over its width and height.
    let mut lines = Vec::new();
    for (at, pair) in pairs.iter().enumerate() {
        if *pair == (0, "LINE".to_owned()) && pairs[at + 1].1 == "OPENING" {
            let value =
                |code: u16| pairs[at..at + 8].iter().find(|p| p.0 == code).unwrap().1.parse::<f64>().unwrap();
            lines.push([[value(10), value(20)], [value(11), value(21)]]);
        }
    }
    assert!(lines.len() > 10);
    for (a, b) in lines.iter().zip(lines.iter().cycle().skip(1)) {
        assert_eq!(a[1], b[0]);
    }
    let widest = lines.iter().map(|l| l[0][0]).fold(0.0, f64::max);
    let highest = lines.iter().map(|l| l[0][1]).fold(0.0, f64::max);
    assert!((widest - 2.5).abs() < 1e-9 && (highest - 5.0).abs() < 1e-9, "{widest} {highest}");
}

/// A Python with trimesh and ezdxf; `None`, with a line that says so, where there is none. A set
/// `BACKHOLD_READERS` must be one.
fn python_with_readers() -> Option<String> {
    let works = |name: &str| {
        let run = Command::new(name).args(["-c", "import ezdxf, trimesh"]).output();
        run.is_ok_and(|o| o.status.success())
    };
    if let Ok(name) = std::env::var("BACKHOLD_READERS") {
        assert!(works(&name), "BACKHOLD_READERS={name} does not run, or has no ezdxf and trimesh");
        return Some(name);
    }
    let found = works("python3").then(|| "python3".to_owned());
    if found.is_none() {
        println!("no python3 with ezdxf and trimesh is installed: models and drawing were not read by them");
    }
    found
}

/// What general readers find in what a run wrote; `None` as [`python_with_readers`].
fn read_by_others(run: &Run) -> Option<Value> {
    let python = python_with_readers()?;
    let dir = tempdir().unwrap();
    run.lay_into(dir.path());
    let output =
        Command::new(python).arg("tests/it/open_formats/readers.py").arg(dir.path()).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(serde_json::from_slice(&output.stdout).unwrap())
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

/// Of a drive without a face, one with wedges at the face, one with a fault far from chainage 0, and a scanned one.
const READ_BY_OTHERS: [&str; 4] = ["haulage", "short_drive", "structures", "scan"];

#[test]
fn a_general_reader_of_meshes_finds_every_body_closed_and_of_the_volume_told() {
    for sample in READ_BY_OTHERS {
        let case = format!("samples/{sample}.toml");
        let run = ran(&["check", &case, "--also", "models,drawings,tables"]);
        let Some(read) = read_by_others(run) else { return };
        let frame: Value = serde_json::from_str(run.text("models/frame.json")).unwrap();
        assert_eq!(read["gltf"]["units"], "meters", "{sample}");
        let bodies = frame["bodies"].as_array().unwrap();
        assert!(bodies.len() >= 4, "{sample}");
        for body in bodies {
            let told_m3 = body["volume_m3"].as_f64().unwrap();
            let name = format!("{} {}", body["wedge"].as_str().unwrap(), body["size"].as_str().unwrap());
            let of_gltf = &read["gltf"]["bodies"][&name];
            let of_stl = &read["stl"][body["file"].as_str().unwrap()];
            for (form, found, counts_from_apex) in [("glTF", of_gltf, true), ("STL", of_stl, false)] {
                let is = format!("{sample} {form} {name} {found}");
                assert_eq!(found["closed"], true, "{is}");
                assert_eq!(found["faces_outward"], true, "{is}");
                let number = |key: &str| found[key].as_f64().unwrap();
                let rounding =
                    if counts_from_apex { 0.0 } else { rounding_m3(number("area_m2"), number("farthest_m")) };
                let off = (number("volume_m3") - told_m3).abs();
                assert!(off < SINGLE * told_m3 + rounding, "{is} {off}");
            }
        }
        let opening = &read["stl"]["opening.stl"];
        assert_eq!((&opening["closed"], &opening["faces_outward"]), (&true.into(), &true.into()), "{sample}");
    }
}

#[test]
fn a_general_reader_of_drawings_finds_the_opening_and_the_wedges_in_layers() {
    for sample in READ_BY_OTHERS {
        let case = format!("samples/{sample}.toml");
        let run = ran(&["check", &case, "--also", "models,drawings,tables"]);
        let Some(read) = read_by_others(run) else { return };
        let drawing = &read["dxf"];
        assert_eq!(drawing["release"], "AC1009", "{sample}");
        assert_eq!(drawing["errors"], serde_json::json!([]), "{sample}");
        assert_eq!(drawing["kinds"], serde_json::json!(["LINE", "TEXT"]), "{sample}");
        // The opening: its lines close, and are as long as the drive's perimeter is told to be.
        let opening = &drawing["layers"]["OPENING"];
        let points: Vec<Vec<f64>> = opening["points"].as_array().unwrap().iter().map(numbers).collect();
        let lines: Vec<&[Vec<f64>]> = points.chunks(2).collect();
        for (line, next) in lines.iter().zip(lines.iter().cycle().skip(1)) {
            assert_eq!(line[1], next[0], "{sample}");
        }
        // Beside the other form: the swept opening is as wide and as high.
        let span = |k: usize| {
            let along = points.iter().map(|p| p[k]);
            along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
        };
        let model = &read["stl"]["opening.stl"];
        let frame: Value = serde_json::from_str(run.text("models/frame.json")).unwrap();
        let metres = |key: &str| frame[key].as_f64().unwrap();
        let long = metres("opening_to_chainage_m") - metres("opening_from_chainage_m");
        let perimeter = opening["length_m"].as_f64().unwrap();
        // Ends and sides of the body: both forms tell of one section.
        let area: f64 = lines.iter().map(|l| 0.5 * (l[0][0] * l[1][1] - l[1][0] * l[0][1])).sum();
        let swept = 2.0 * area.abs() + perimeter * long;
        let found = model["area_m2"].as_f64().unwrap();
        assert!((found / swept - 1.0).abs() < SINGLE, "{sample} {found} {swept}");
        assert!(
            (model["volume_m3"].as_f64().unwrap() / (area.abs() * long) - 1.0).abs() < SINGLE,
            "{sample}"
        );
        if sample == "haulage" {
            assert!((span(0) - 5.0).abs() < 1e-9 && (span(1) - 5.0).abs() < 1e-9);
        }
        // Each wedge has its layer, a closed outline in it and its name, and nothing lies in an undeclared layer.
        let declared: Vec<&str> =
            drawing["declared"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
        let wedges: Value = serde_json::from_str(run.text("tables/wedges.json")).unwrap();
        let words = drawing["words"].as_array().unwrap();
        let mut seen = 0;
        for row in wedges.as_array().unwrap() {
            let id = row["wedge"].as_str().unwrap();
            let Some(layer) = words.iter().find(|w| w[1].as_str().unwrap().starts_with(&format!("{id} ")))
            else {
                continue;
            };
            let layer = layer[0].as_str().unwrap();
            assert!(declared.contains(&layer), "{sample} {layer}");
            let outline: Vec<Vec<f64>> =
                drawing["layers"][layer]["points"].as_array().unwrap().iter().map(numbers).collect();
            assert!(outline.len() >= 6 && outline.first() == outline.last(), "{sample} {id} {outline:?}");
            seen += 1;
        }
        assert!(seen >= 2, "{sample} {seen}");
        for layer in drawing["layers"].as_object().unwrap().keys() {
            assert!(declared.contains(&layer.as_str()), "{sample} {layer}");
        }
        let unit = words.iter().any(|w| w[0] == "NOTE" && w[1].as_str().unwrap().starts_with("Metres:"));
        assert!(unit, "{sample} {words:?}");
    }
}

/// Every cell of every table is what its column is said to hold.
#[test]
fn the_columns_of_the_tables_hold_what_is_said_of_them() {
    let described = json("csv-metadata.json");
    assert_eq!(described["@context"][0], "http://www.w3.org/ns/csvw");
    let mut seen = BTreeMap::new();
    for table in described["tables"].as_array().unwrap() {
        let name = table["url"].as_str().unwrap();
        let mut reader = csv::Reader::from_reader(run().text(name).as_bytes());
        let columns = table["tableSchema"]["columns"].as_array().unwrap();
        let titles: Vec<&str> = columns.iter().map(|c| c["titles"].as_str().unwrap()).collect();
        assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), titles, "{name}");
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        for row in &rows {
            for (column, cell) in columns.iter().zip(row) {
                let things = match column["separator"].as_str() {
                    Some(by) => cell.split(by).collect(),
                    None => vec![cell],
                };
                let base = column["datatype"].as_str().or(column["datatype"]["base"].as_str()).unwrap();
                for thing in things.into_iter().filter(|t| !t.is_empty()) {
                    let holds = match base {
                        "double" => thing.parse::<f64>().is_ok_and(f64::is_finite),
                        "integer" => thing.parse::<i64>().is_ok(),
                        "boolean" => match column["datatype"]["format"].as_str() {
                            Some(words) => words.split('|').any(|w| w == thing),
                            None => thing == "true" || thing == "false",
                        },
                        "string" => column["datatype"]["format"].is_null() || thing.parse::<f64>().is_ok(),
                        other => panic!("{other}"),
                    };
                    assert!(holds, "{name} {} {thing}", column["name"]);
                    *seen.entry(base.to_owned()).or_insert(0) += 1;
                }
            }
        }
        // The same rows as JSON.
        let as_json = json(&format!("tables/{}.json", name.trim_end_matches(".csv")));
        assert_eq!(as_json.as_array().unwrap().len(), rows.len(), "{name}");
    }
    assert_eq!(described["tables"].as_array().unwrap().len(), 10);
    for (base, least) in [("double", 300), ("integer", 20), ("string", 50), ("boolean", 2)] {
        assert!(seen.get(base).copied().unwrap_or(0) >= least, "{seen:?}");
    }
    // Units stand beside the columns whose names end in them.
    let columns = described["tables"][0]["tableSchema"]["columns"].as_array().unwrap();
    let column = |name: &str| columns.iter().find(|c| c["name"] == name).unwrap();
    assert_eq!(column("weight_kn")["schema:unitText"], "kN");
    assert_eq!(column("volume_m3")["schema:unitCode"], "UCUM:m3");
    assert!(column("wedge")["schema:unitText"].is_null());
}

/// They are part of what running again makes and compares.
#[test]
fn running_again_compares_them() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    run().lay_into(&out);
    fs::write(out.join("models/opening.stl"), [0; 84]).unwrap();
    let run = backhold().args(["check", "--again"]).arg(out.join("summary.json")).assert().code(1);
    let said = String::from_utf8_lossy(&run.get_output().stdout);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let (differs, same) = said.split_once(" The same bytes: ").unwrap();
    assert!(differs.contains("models/opening.stl") && differs.matches(" - ").count() == 1, "{said}");
    for part in ["files in models/", "1 file in drawings/", "10 files in tables/", "csv-metadata.json"] {
        assert!(same.contains(part), "{said}");
    }
    backhold()
        .args(["check", "samples/haulage.toml", "--also", "pictures", "--out"])
        .arg(dir.path().join("x"))
        .assert()
        .code(2);
}
