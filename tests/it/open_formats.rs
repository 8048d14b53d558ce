//! What other programs read: models, drawings as lines and typed tables, each by a reader that is not ours.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use crate::program::{Run, backhold, ran};
use serde_json::Value;
use tempfile::tempdir;

/// Single precision of a body a few metres wide, and the sum over its faces.
const SINGLE: f64 = 1e-5;

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
            assert!((f64::from(*there) - here).abs() < SINGLE, "{name} {at:?} {apex:?}");
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
                let off = (found - volume).abs();
                assert!(off < SINGLE * volume.max(0.1), "{name} {off}");
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
    // A drawing library of another language reads it, where there is one.
    let dir = tempdir().unwrap();
    let path = dir.path().join("section.dxf");
    fs::write(&path, text).unwrap();
    let script = "import sys, ezdxf\nd = ezdxf.readfile(sys.argv[1])\nprint(d.dxfversion, len(d.modelspace()), len(d.audit().errors))";
    match Command::new("python3").args(["-c", script]).arg(&path).output() {
        Ok(output) if output.status.success() => {
            let said = String::from_utf8_lossy(&output.stdout).into_owned();
            let said: Vec<&str> = said.split_whitespace().collect();
            assert_eq!((said[0], said[2]), ("AC1009", "0"), "{said:?}");
            let drawn = pairs.iter().filter(|p| p.0 == 0 && (p.1 == "LINE" || p.1 == "TEXT")).count();
            assert_eq!(said[1], drawn.to_string());
        }
        _ => println!("python3 with ezdxf is not installed: the drawing was not read by it"),
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
