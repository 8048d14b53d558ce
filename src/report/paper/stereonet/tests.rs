use super::*;
use crate::report::paper::sheet::Point;

fn net() -> Stereonet {
    let plane = |label: &str, dip_deg, dip_direction_deg, set| NetPlane {
        label: label.to_owned(),
        plane: Plane { dip_deg, dip_direction_deg },
        set,
    };
    let slide = |label: &str, trend_deg, plunge_deg| NetLine {
        label: label.to_owned(),
        line: Line { trend_deg, plunge_deg },
    };
    Stereonet {
        title: "Three sets cross the drive".to_owned(),
        north: "mine grid".to_owned(),
        planes: vec![plane("A", 68.0, 42.0, 0), plane("B", 90.0, 150.0, 1), plane("C", 35.0, 280.0, 2)],
        slides: vec![
            slide("A-B-C.101", 42.0, 68.0),
            slide("A-B-C.001", 42.0, 68.0),
            slide("A-B-C.111", 0.0, 90.0),
        ],
        drive: Some(Line { trend_deg: 35.0, plunge_deg: 0.0 }),
        ..Stereonet::default()
    }
}

/// The points of every polyline drawn with a colour and width, in millimetres.
fn polylines(svg: &str, stroke: &str) -> Vec<Vec<Point>> {
    svg.lines()
        .filter(|row| row.starts_with("<polyline") && row.contains(stroke))
        .map(|row| {
            let points = row.split("points=\"").nth(1).unwrap();
            points
                .split('"')
                .next()
                .unwrap()
                .split_whitespace()
                .map(|pair| {
                    let (x, y) = pair.split_once(',').unwrap();
                    let mm = |s: &str| s.parse::<f64>().unwrap() / 100.0;
                    [mm(x), mm(y)]
                })
                .collect()
        })
        .collect()
}

/// Centre and radius of the rim, from its polygon: the heaviest line of ink, 0.4 mm wide.
fn rim(svg: &str) -> (Point, f64) {
    let rim =
        polylines(svg, "stroke=\"#1A1A1A\" stroke-width=\"40\"").into_iter().max_by_key(Vec::len).unwrap();
    let mean = |axis: usize| {
        let all = rim.iter().map(|p| p[axis]);
        let (low, high) = all.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        (f64::midpoint(low, high), (high - low) / 2.0)
    };
    ([mean(0).0, mean(1).0], mean(0).1)
}

#[test]
fn every_label_stands_once() {
    let svg = net().draw().to_svg().unwrap();
    for label in [
        "A",
        "B",
        "C",
        "A-B-C.101",
        "A-B-C.001",
        "A-B-C.111",
        "N",
        "A 68/042",
        "B 90/150",
        "C 35/280",
        "drive 035, level",
        "slide direction",
        "straight down",
        "Lower hemisphere, equal area projection",
        "Azimuths from north of: mine grid",
    ] {
        assert_eq!(svg.matches(&format!(">{label}</text>")).count(), 1, "{label}");
    }
    assert_eq!(svg.matches("<title>Three sets cross the drive</title>").count(), 1);
    assert_eq!(svg.matches(">Three sets cross the drive</text>").count(), 1);
}

#[test]
fn a_solid_great_circle_stands_where_its_plane_pierces_the_hemisphere() {
    // Set A is solid, so its circle is one line, in its own colour.
    let svg = net().draw().to_svg().unwrap();
    let (centre, radius) = rim(&svg);
    let circle =
        polylines(&svg, "stroke=\"#0072B2\" stroke-width=\"50\"").into_iter().max_by_key(Vec::len).unwrap();
    // It starts and ends on the rim, at the strike 42 - 90 = 312 and 132.
    for (point, azimuth) in [(circle[0], 312.0_f64), (circle[180], 132.0)] {
        let expected = [
            centre[0] + radius * azimuth.to_radians().sin(),
            centre[1] - radius * azimuth.to_radians().cos(),
        ];
        assert!((point[0] - expected[0]).abs() < 0.02, "{point:?} {expected:?}");
        assert!((point[1] - expected[1]).abs() < 0.02, "{point:?} {expected:?}");
    }
    // Its steepest point plunges 68 toward 042: √2 sin(11°) of the radius from the centre.
    let steepest = circle[90];
    let off = (steepest[0] - centre[0]).hypot(steepest[1] - centre[1]) / radius;
    assert!((off - 2.0_f64.sqrt() * 11.0_f64.to_radians().sin()).abs() < 5e-4);
}

#[test]
fn the_great_circle_of_a_vertical_plane_passes_the_centre() {
    for projection in [Projection::EqualArea, Projection::EqualAngle] {
        let mut net = net();
        net.projection = projection;
        net.planes = vec![NetPlane {
            label: "V".to_owned(),
            plane: Plane { dip_deg: 90.0, dip_direction_deg: 63.0 },
            set: 0,
        }];
        let svg = net.draw().to_svg().unwrap();
        let (centre, radius) = rim(&svg);
        let circle = polylines(&svg, "stroke=\"#0072B2\" stroke-width=\"50\"")
            .into_iter()
            .max_by_key(Vec::len)
            .unwrap();
        let nearest =
            circle.iter().map(|p| (p[0] - centre[0]).hypot(p[1] - centre[1])).fold(f64::MAX, f64::min);
        assert!(nearest < 0.02, "{nearest}");
        // And it is straight: every point lies on the strike line.
        let (sin, cos) = (63.0_f64 - 90.0).to_radians().sin_cos();
        for p in &circle {
            let across = (p[0] - centre[0]) * cos + (p[1] - centre[1]) * sin;
            assert!(across.abs() < 0.02 && radius > 40.0);
        }
    }
}

#[test]
fn a_vertical_plane_darkens_the_pixels_at_the_centre() {
    let mut net = net();
    net.slides.clear();
    net.planes.truncate(2);
    let sheet = net.draw();
    let svg = sheet.to_svg().unwrap();
    let (centre, _) = rim(&svg);
    let bytes = sheet.to_png(254.0).unwrap();
    let mut reader = ::png::Decoder::new(bytes.as_slice()).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size()];
    let info = reader.next_frame(&mut pixels).unwrap();
    // Within a dash and its gap from the centre along B's line the pixels are B's orange.
    let orange = (0..60)
        .filter(|i| {
            let along = f64::from(*i) * 0.1;
            let (sin, cos) = 60.0_f64.to_radians().sin_cos();
            let x = ((centre[0] + along * sin) * 10.0) as usize;
            let y = ((centre[1] - along * cos) * 10.0) as usize;
            let first = (y * info.width as usize + x) * 3;
            pixels[first..first + 3] == [0xD5, 0x5E, 0x00]
        })
        .count();
    assert!(orange > 20, "{orange}");
}

#[test]
fn the_arrow_of_a_slide_lies_on_the_plane_it_follows() {
    let svg = net().draw().to_svg().unwrap();
    let (centre, radius) = rim(&svg);
    // The shaft of the arrow begins at plunge 68, trend 042, the steepest line of A.
    let shaft = polylines(&svg, "stroke=\"#1A1A1A\" stroke-width=\"45\"");
    let off = radius * 2.0_f64.sqrt() * 11.0_f64.to_radians().sin();
    let (sin, cos) = 42.0_f64.to_radians().sin_cos();
    let expected = [centre[0] + off * sin, centre[1] - off * cos];
    let shaft = shaft.iter().find(|s| (s[0][0] - expected[0]).hypot(s[0][1] - expected[1]) < 0.02).unwrap();
    // And it points toward the trend.
    let (dx, dy) = (shaft[1][0] - shaft[0][0], shaft[1][1] - shaft[0][1]);
    assert!((dx.atan2(-dy).to_degrees() - 42.0).abs() < 0.3);
}

#[test]
fn a_blind_zone_is_hatched_only_where_it_lies() {
    let mut net = net();
    net.planes.clear();
    net.slides.clear();
    net.drive = None;
    let along = Line { trend_deg: 90.0, plunge_deg: 0.0 };
    net.blind_zones = vec![BlindZone {
        sights: vec![Sight::Along(along)],
        half_width_deg: 15.0,
        label: "scanline 1".to_owned(),
    }];
    let svg = net.draw().to_svg().unwrap();
    let (centre, radius) = rim(&svg);
    let hatch: Vec<Vec<Point>> = polylines(&svg, "stroke=\"#C8C8C8\"")
        .into_iter()
        // The legend has its own sample.
        .filter(|line| (line[0][0] - centre[0]).abs() < radius + 1.0)
        .collect();
    assert!(hatch.len() > 20, "{}", hatch.len());
    for point in hatch.iter().flatten() {
        // The file's hundredths of a millimetre may lie a hair outside the rim.
        let reach = radius + 0.02;
        let v = Projection::EqualArea
            .unproject([(point[0] - centre[0]) / reach, (centre[1] - point[1]) / reach])
            .unwrap();
        // Within 15° of the plane across east-west, to the sheet's hundredths of a millimetre.
        assert!(v.x.abs() < 15.2_f64.to_radians().sin(), "{point:?}");
    }
}

#[test]
fn poles_cones_and_contours_are_counted_and_labelled() {
    let mut net = net();
    let pole = |trend_deg, plunge_deg, set| NetPole { pole: Line { trend_deg, plunge_deg }, set };
    net.poles = vec![pole(222.0, 22.0, Some(0)), pole(225.0, 20.0, Some(0)), pole(10.0, 60.0, None)];
    net.cones =
        vec![Cone { axis: Line { trend_deg: 222.0, plunge_deg: 2.0 }, half_angle_deg: 6.0, set: Some(0) }];
    net.cone_note = "95 % cone".to_owned();
    net.contours = vec![Contour {
        level: 4.0,
        points: super::curves::small_circle(&net.cones[0].axis.to_vector(), 15.0),
        closed: true,
    }];
    net.contour_unit = "% per 1 % area".to_owned();
    let svg = net.draw().to_svg().unwrap();
    for label in ["poles of A (2)", "in no set (1)", "95 % cone", "4"] {
        assert_eq!(svg.matches(&format!(">{label}</text>")).count(), 1, "{label}");
    }
    // The cone and the contour cross the rim, so each comes in three parts.
    let cone = polylines(&svg, "stroke=\"#0072B2\" stroke-width=\"35\"");
    assert_eq!(cone.len(), 3);
    let contour = polylines(&svg, "stroke=\"#8C8C8C\" stroke-width=\"25\"");
    // One more is the sample in the legend.
    assert_eq!(contour.len(), 4);
}

#[test]
fn useless_numbers_do_not_stop_the_drawing() {
    let mut net = net();
    net.planes[0].plane.dip_deg = f64::NAN;
    net.slides[0].line.plunge_deg = f64::INFINITY;
    net.drive = Some(Line { trend_deg: f64::NAN, plunge_deg: 0.0 });
    let sheet = net.draw();
    assert!(sheet.left_out() > 0);
    assert!(sheet.to_svg().unwrap().contains(">C</text>"));
}

#[test]
fn upward_movements_are_told_apart_from_downward_ones() {
    let legend_of = |plunge_deg| {
        let mut net = net();
        net.slides =
            vec![NetLine { label: "A-B-C.000".to_owned(), line: Line { trend_deg: 100.0, plunge_deg } }];
        let svg = net.draw().to_svg().unwrap();
        let words = ["slide direction", "upward slide", "straight down", "straight up"];
        words.map(|w| svg.matches(&format!(">{w}</text>")).count())
    };
    assert_eq!(legend_of(40.0), [1, 0, 0, 0]);
    assert_eq!(legend_of(-40.0), [0, 1, 0, 0]);
    assert_eq!(legend_of(90.0), [0, 0, 1, 0]);
    assert_eq!(legend_of(-90.0), [0, 0, 0, 1]);
}
