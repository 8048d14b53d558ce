use super::*;
use crate::report::paper::sheet::{Point, Stroke};
use crate::report::paper::style::{INK, set_style};

fn chart() -> Chart {
    Chart::new(
        "Least FS falls below 2.0 between 0.3 and 1.1 m³",
        Axis::log("Volume", "m³").between(0.1, 10.0),
        Axis::linear("FS", "").between(0.0, 4.0),
    )
    .with(Layer::Line {
        label: "least".to_owned(),
        points: vec![[0.1, 3.0], [1.0, 1.0], [10.0, 2.0]],
        stroke: set_style(0).stroke(),
    })
    .with(Layer::Rule {
        label: "asked 2.0".to_owned(),
        across: Across::Y,
        value: 2.0,
        stroke: Stroke::solid(INK, 0.3),
    })
}

fn points(row: &str) -> Vec<Point> {
    let points = row.split("points=\"").nth(1).unwrap();
    points
        .split('"')
        .next()
        .unwrap()
        .split_whitespace()
        .map(|pair| {
            let (x, y) = pair.split_once(',').unwrap();
            [x.parse::<f64>().unwrap() / 100.0, y.parse::<f64>().unwrap() / 100.0]
        })
        .collect()
}

fn lines(svg: &str, stroke: &str) -> Vec<Vec<Point>> {
    svg.lines().filter(|row| row.starts_with("<polyline") && row.contains(stroke)).map(points).collect()
}

/// The frame, from the two axes: the only thin line of ink with a corner.
fn frame(svg: &str) -> [Point; 3] {
    let corner =
        lines(svg, "stroke=\"#1A1A1A\" stroke-width=\"25\"").into_iter().find(|l| l.len() == 3).unwrap();
    [corner[0], corner[1], corner[2]]
}

#[test]
fn values_stand_where_the_axes_say() {
    let svg = chart().draw().to_svg().unwrap();
    let [top, corner, right] = frame(&svg);
    let line = lines(&svg, "stroke=\"#0072B2\"").into_iter().find(|l| l.len() == 3).unwrap();
    // 1 m³ is halfway between 0.1 and 10; FS 1 is a quarter of 4.
    let middle = f64::midpoint(corner[0], right[0]);
    let quarter = corner[1] - 0.25 * (corner[1] - top[1]);
    assert!((line[1][0] - middle).abs() < 0.011, "{line:?}");
    assert!((line[1][1] - quarter).abs() < 0.011, "{line:?}");
    let rule = lines(&svg, "stroke=\"#1A1A1A\" stroke-width=\"30\"");
    assert_eq!(rule.len(), 1);
    assert!((rule[0][0][1] - f64::midpoint(corner[1], top[1])).abs() < 0.011);
}

#[test]
fn names_units_and_labels_stand_once() {
    let svg = chart().draw().to_svg().unwrap();
    for words in [
        "Volume (m³)",
        "FS",
        "least",
        "asked 2.0",
        "0.1",
        "0.2",
        "0.5",
        "1",
        "2",
        "5",
        "10",
        "Least FS falls below 2.0 between 0.3 and 1.1 m³",
    ] {
        let count = svg.matches(&format!(">{words}</text>")).count();
        // Both axes count to 2 and beyond.
        let expected = if ["1", "2"].contains(&words) { 2 } else { 1 };
        assert_eq!(count, expected, "{words}");
    }
}

#[test]
fn infinite_values_break_a_line_and_high_ones_leave_through_the_frame() {
    let mut chart = chart();
    chart.layers = vec![Layer::Line {
        label: String::new(),
        points: vec![[0.1, f64::INFINITY], [0.2, 8.0], [1.0, 0.0], [2.0, f64::NAN], [5.0, 1.0], [10.0, 1.0]],
        stroke: set_style(0).stroke(),
    }];
    let svg = chart.draw().to_svg().unwrap();
    let [top, corner, _] = frame(&svg);
    let parts = lines(&svg, "stroke=\"#0072B2\"");
    assert_eq!(parts.len(), 2);
    // FS falls from 8 to 0 between 0.2 and 1: it enters at 4, halfway along the logarithm.
    assert!((parts[0][0][1] - top[1]).abs() < 0.011);
    assert!((parts[0][1][1] - corner[1]).abs() < 0.011);
    assert_eq!(parts[1].len(), 2);
}

#[test]
fn bars_are_as_high_as_their_counts() {
    let (bars, outside) = histogram(&[0.0, 1.0, 1.5, 1.99, 2.0, -0.1, 3.0, f64::NAN], 0.0, 1.0, 3);
    let heights: Vec<f64> = bars.iter().map(|b| b.height).collect();
    assert_eq!((heights, outside), (vec![1.0, 3.0, 1.0], 3));
    let chart = Chart::new("t", Axis::linear("Spacing", "m"), Axis::linear("Count", "")).with(Layer::Bars {
        label: String::new(),
        bars,
        colour: INK,
    });
    let svg = chart.draw().to_svg().unwrap();
    let [top, corner, right] = frame(&svg);
    let polygons: Vec<Vec<Point>> = svg.lines().filter(|r| r.starts_with("<polygon")).map(points).collect();
    assert_eq!(polygons.len(), 3);
    let third = (corner[1] - top[1]) / 3.0;
    for (bar, count) in polygons.iter().zip([1.0, 3.0, 1.0]) {
        assert!((bar[0][1] - bar[1][1] - count * third).abs() < 0.021, "{bar:?}");
        assert!((bar[2][0] - bar[1][0] - (right[0] - corner[0]) / 3.0).abs() < 0.021);
    }
}

#[test]
fn a_histogram_that_cannot_be_counted_says_so() {
    assert_eq!(histogram(&[1.0, 2.0], 0.0, 0.0, 3), (vec![], 2));
    assert_eq!(histogram(&[1.0], f64::NAN, 1.0, 3), (vec![], 1));
    assert_eq!(histogram(&[1.0], 0.0, 1.0, 0), (vec![], 1));
}

#[test]
fn useless_numbers_do_not_stop_the_drawing() {
    let mut chart = chart();
    chart.frame_height_mm = f64::NAN;
    chart.x = Axis::log("Volume", "m³").between(-1.0, f64::NAN);
    chart.layers.push(Layer::Marks {
        label: "marks".to_owned(),
        points: vec![[0.0, 1.0], [1e300, -1e300], [f64::NAN, 1.0]],
        mark: Mark::Short,
    });
    let sheet = chart.draw();
    assert!(sheet.height_mm() < 100.0);
    assert!(sheet.to_svg().unwrap().contains(">marks</text>"));
}
