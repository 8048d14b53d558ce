use super::*;

const INK: Colour = Colour::from_hex(0x1A_1A_1A);

/// Width, height and RGB bytes of a PNG; one in greys alone has a byte a pixel.
fn decoded(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = ::png::Decoder::new(bytes).read_info().unwrap();
    let mut buffer = vec![0; reader.output_buffer_size()];
    let info = reader.next_frame(&mut buffer).unwrap();
    if info.color_type == ::png::ColorType::Grayscale {
        buffer = buffer.iter().flat_map(|&grey| [grey; 3]).collect();
    }
    (info.width, info.height, buffer)
}

/// Darkness of the pixel at a place in millimetres, 0 for paper to 1 for black, at 254 dpi
/// (ten pixels to the millimetre).
fn darkness(sheet: &Sheet, at: Point) -> f64 {
    let (width, _, pixels) = decoded(&sheet.to_png(254.0).unwrap());
    let (x, y) = ((at[0] * 10.0) as usize, (at[1] * 10.0) as usize);
    let first = (y * width as usize + x) * 3;
    1.0 - f64::from(pixels[first]) / 255.0
}

#[test]
fn the_svg_says_its_size_title_and_description_once() {
    let mut sheet = Sheet::new(180.0, 90.5, "A <b> & \"c\"");
    sheet.describe("Two lines\nlong");
    let svg = sheet.to_svg().unwrap();
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"180mm\" height=\"90.5mm\" viewBox=\"0 0 18000 9050\""));
    assert_eq!(svg.matches("<title>A &lt;b&gt; &amp; \"c\"</title>").count(), 1);
    assert_eq!(svg.matches("<desc>Two lines long</desc>").count(), 1);
    assert_eq!(svg.matches("<svg").count(), 1);
    assert!(svg.ends_with("</svg>\n"));
}

#[test]
fn the_same_sheet_gives_the_same_bytes() {
    let draw = || {
        let mut sheet = Sheet::new(40.0, 20.0, "t");
        sheet.polyline(
            &[[1.0, 1.0], [30.0, 15.0]],
            Stroke { colour: INK, width_mm: 0.3, dash_mm: &[2.0, 1.0, 0.0, 1.0] },
        );
        sheet.text([20.0, 10.0], "words", &Text::new(9.0, INK).halo());
        (sheet.to_svg().unwrap(), sheet.to_png(100.0).unwrap())
    };
    assert_eq!(draw(), draw());
}

#[test]
fn words_stand_on_one_row_with_the_baseline_below_the_middle() {
    let mut sheet = Sheet::new(180.0, 50.0, "t");
    sheet.text([10.0, 20.0], "a < b & 'c'", &Text::new(9.0, INK));
    let svg = sheet.to_svg().unwrap();
    // 9 pt is 3.175 mm; the baseline is half a capital, 0.3645 em, below 20 mm.
    let tag = "<text x=\"1000\" y=\"2116\" text-anchor=\"start\" font-size=\"317.5\" opacity=\"1\" fill=\"#1A1A1A\">a &lt; b &amp; &apos;c&apos;</text>";
    assert!(svg.contains(tag), "{svg}");
}

#[test]
fn small_letters_are_enlarged_to_be_read_at_full_print_width() {
    let size_of = |width_mm: f64| {
        let mut sheet = Sheet::new(width_mm, 50.0, "t");
        sheet.text([10.0, 20.0], "x", &Text::new(4.0, INK));
        let svg = sheet.to_svg().unwrap();
        let rest = svg.split("font-size=\"").nth(1).unwrap().to_owned();
        rest.split('"').next().unwrap().parse::<f64>().unwrap()
    };
    // 317.5 units are 9 pt. A sheet twice as wide is halved on paper.
    assert_eq!(size_of(180.0), 317.5);
    assert_eq!(size_of(90.0), 317.5);
    assert_eq!(size_of(360.0), 635.0);
}

#[test]
fn a_halo_is_painted_beneath_the_letters_in_both_files() {
    let mut sheet = Sheet::new(40.0, 20.0, "t");
    sheet.polygon(
        &[[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]],
        Some(Fill::solid(Colour::from_hex(0x00_00_00))),
        None,
    );
    // An I of 36 pt is 12.7 mm high, its stem 1.25 mm wide.
    sheet.text([20.0, 10.0], "I", &Text::new(36.0, INK).anchored(Anchor::Middle).halo());
    let svg = sheet.to_svg().unwrap();
    assert_eq!(svg.matches("stroke=\"#FFFFFF\" stroke-width=\"381\" paint-order=\"stroke\"").count(), 1);
    assert!(darkness(&sheet, [20.0, 10.0]) > 0.85);
    assert!(darkness(&sheet, [22.0, 10.0]) < 0.01);
    assert!(darkness(&sheet, [24.0, 10.0]) > 0.99);
}

#[test]
fn a_line_is_as_wide_and_as_dark_as_asked() {
    let mut sheet = Sheet::new(20.0, 20.0, "t");
    sheet.polyline(&[[5.0, 10.0], [15.0, 10.0]], Stroke::solid(Colour::from_hex(0), 1.0));
    assert!(darkness(&sheet, [10.0, 9.55]) > 0.99);
    assert!(darkness(&sheet, [10.0, 10.45]) > 0.99);
    assert!(darkness(&sheet, [10.0, 9.45]) < 0.01);
    // Square ends.
    assert!(darkness(&sheet, [4.95, 10.0]) < 0.01);
    assert!(darkness(&sheet, [15.05, 10.0]) < 0.01);
}

#[test]
fn a_pixel_half_covered_is_half_dark() {
    let mut sheet = Sheet::new(20.0, 20.0, "t");
    // From 9.55 to 10.45 mm: the pixels that begin at 9.5 and 10.4 mm are covered by half.
    let line = [[5.0, 10.0], [15.0, 10.0]];
    sheet.polyline(&line, Stroke::solid(Colour::from_hex(0), 0.9));
    for y in [9.52, 10.43] {
        // Pixels have 256 steps.
        assert!((darkness(&sheet, [10.0, y]) - 0.5).abs() < 0.01);
    }
    assert!(darkness(&sheet, [10.0, 9.62]) > 0.99);
    assert!(darkness(&sheet, [10.0, 9.42]) < 0.01);
}

#[test]
fn dashes_fall_on_the_same_places_in_both_files() {
    let mut sheet = Sheet::new(40.0, 20.0, "t");
    sheet.polyline(
        &[[5.0, 10.0], [35.0, 10.0]],
        Stroke { colour: Colour::from_hex(0), width_mm: 0.8, dash_mm: &[4.0, 2.0] },
    );
    let svg = sheet.to_svg().unwrap();
    for (i, dash) in ["500,1000 900,1000", "1100,1000 1500,1000"].iter().enumerate() {
        assert!(svg.contains(dash), "{svg}");
        let start = 5.0 + 6.0 * i as f64;
        assert!(darkness(&sheet, [start + 2.0, 10.0]) > 0.99);
        assert!(darkness(&sheet, [start + 5.0, 10.0]) < 0.01);
    }
}

#[test]
fn a_line_cut_at_a_frame_keeps_its_dashes_in_place() {
    let stroke = Stroke { colour: INK, width_mm: 0.5, dash_mm: &[4.0, 2.0] };
    let mut sheet = Sheet::new(40.0, 20.0, "t");
    // Dashes at 0-4, 6-10, 12-16, ...; the frame runs from 8 to 15.
    let frame = Rect::new(8.0, 5.0, 15.0, 15.0);
    sheet.polyline_within(&[[0.0, 10.0], [40.0, 10.0]], stroke, &frame);
    let svg = sheet.to_svg().unwrap();
    // One path holds both dashes.
    assert!(svg.contains("d=\"M800,1000 1000,1000M1200,1000 1500,1000\"/>"), "{svg}");
    // Dots share one path too: lines of no length with round ends.
    let dots = Stroke { colour: INK, width_mm: 0.5, dash_mm: &[0.0, 3.0] };
    let mut sheet = Sheet::new(40.0, 20.0, "t");
    sheet.polyline_within(&[[0.0, 10.0], [40.0, 10.0]], dots, &frame);
    let svg = sheet.to_svg().unwrap();
    assert!(svg.contains("stroke-linecap=\"round\" d=\"M900,1000h0M1200,1000h0M1500,1000h0\"/>"), "{svg}");
    // A line that leaves the sheet is cut at its edge.
    let mut sheet = Sheet::new(40.0, 20.0, "t");
    sheet.polyline(&[[20.0, 10.0], [60.0, 10.0]], Stroke::solid(INK, 0.5));
    let svg = sheet.to_svg().unwrap();
    assert!(svg.contains("points=\"2000,1000 4000,1000 \""), "{svg}");
}

#[test]
fn a_tint_lets_half_of_what_is_beneath_show() {
    let mut sheet = Sheet::new(20.0, 20.0, "t");
    sheet.square([10.0, 10.0], 8.0, Some(Fill::tint(Colour::from_hex(0), 0.5)), None);
    // Pixels have 256 steps.
    assert!((darkness(&sheet, [10.0, 10.0]) - 0.5).abs() < 0.01);
    assert!(sheet.to_svg().unwrap().contains("opacity=\"0.5\""));
}

#[test]
fn turned_words_read_upward() {
    let mut sheet = Sheet::new(40.0, 40.0, "t");
    let style = Text::new(36.0, Colour::from_hex(0)).upward();
    sheet.text([20.0, 30.0], "I", &style);
    assert!(sheet.to_svg().unwrap().contains("transform=\"rotate(270, 2463, 3000)\""));
    // The stem lies level, across the place, about 1.87 mm (half an advance) above its start.
    assert!(darkness(&sheet, [16.0, 28.1]) > 0.99);
    assert!(darkness(&sheet, [24.0, 28.1]) > 0.99);
    assert!(darkness(&sheet, [20.0, 25.0]) < 0.01);
    let room = sheet.text_box([20.0, 30.0], "I", &style);
    assert!(room.holds([16.0, 28.1]) && room.holds([24.0, 28.1]));
}

#[test]
fn useless_numbers_are_counted_and_not_drawn() {
    let mut sheet = Sheet::new(f64::NAN, 1e9, "t");
    assert_eq!((sheet.width_mm(), sheet.height_mm()), (1.0, 2000.0));
    sheet.polyline(&[[0.0, f64::NAN], [1.0, 1.0]], Stroke::solid(INK, 0.2));
    sheet.polyline(&[[0.0, 1e12], [1.0, 1.0]], Stroke::solid(INK, 0.2));
    sheet.circle([0.0, 0.0], -1.0, Some(Fill::solid(INK)), None);
    sheet.text([f64::INFINITY, 0.0], "x", &Text::new(9.0, INK));
    assert_eq!(sheet.left_out(), 4);
    let svg = sheet.to_svg().unwrap();
    assert!(!svg.contains("<polyline") && !svg.contains("<circle") && !svg.contains("<text"));
}

#[test]
fn a_picture_states_its_resolution_and_refuses_to_be_endless() {
    let sheet = Sheet::new(180.0, 100.0, "t");
    let (width, height, _) = decoded(&sheet.to_png(200.0).unwrap());
    // 180 mm at 200 dpi are 1417.3 pixels.
    assert_eq!((width, height), (1418, 788));
    assert!(matches!(sheet.to_png(f64::NAN), Err(DrawError::Resolution { .. })));
    assert!(matches!(Sheet::new(2000.0, 2000.0, "t").to_png(600.0), Err(DrawError::TooLarge { .. })));
}

#[test]
fn lines_break_at_spaces_and_keep_every_word() {
    let sheet = Sheet::new(180.0, 100.0, "t");
    let style = Text::new(9.0, INK);
    let text = "Two of six wedges are short between the rings";
    let lines = sheet.wrap(text, &style, 40.0);
    assert!(lines.len() > 1);
    assert!(lines.iter().all(|l| sheet.text_width_mm(l, &style) <= 40.0));
    assert_eq!(lines.join(" "), text);
    assert_eq!(sheet.wrap("unbreakable", &style, 1.0), ["unbreakable"]);
}

#[test]
fn letters_look_the_same_from_many_threads() {
    let draw = || {
        let mut sheet = Sheet::new(40.0, 20.0, "t");
        sheet.text([2.0, 10.0], "Ring 12", &Text::new(9.0, INK));
        sheet.to_png(100.0).unwrap()
    };
    let one = draw();
    let many: Vec<Vec<u8>> = std::thread::scope(|scope| {
        let started: Vec<_> = (0..4).map(|_| scope.spawn(draw)).collect();
        started.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert!(many.iter().all(|bytes| *bytes == one));
}
