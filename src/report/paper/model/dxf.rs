use std::fmt::Write as _;

use crate::report::paper::numbers::shortest;

/// Longest name of a layer that the format knows.
const LONGEST_NAME: usize = 31;

/// Height of words, metres.
const TEXT_M: f64 = 0.2;

/// A drawing of straight lines and words in layers, as DXF of release 12: the form that every drawing system
/// of a mine reads. Metres, x to the right and y up.
#[derive(Debug, Clone, Default)]
pub(crate) struct DxfDrawing {
    layers: Vec<(String, u8)>,
    comments: Vec<String>,
    entities: String,
}

/// A pair of the format: what follows, and it.
fn pair(text: &mut String, code: u16, value: impl std::fmt::Display) {
    // Writing into a text cannot fail.
    let _ = write!(text, "{code:>3}\r\n{value}\r\n");
}

/// The format knows letters, digits and these signs in names, and capital letters alone.
fn layer_name(name: &str) -> String {
    let allowed = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c.to_ascii_uppercase() } else { '_' };
    name.chars().map(allowed).take(LONGEST_NAME).collect()
}

/// Words of the format are of ASCII, one line.
fn plain(words: &str) -> String {
    let spelled = words.replace('³', "3").replace('²', "2").replace('°', "%%d");
    spelled.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c } else { '?' }).collect()
}

impl DxfDrawing {
    /// Adds a remark, which readers skip.
    pub(crate) fn comment(&mut self, words: &str) {
        self.comments.push(plain(words));
    }

    /// The layer of this name; `colour` is one of the format's numbers (7 is black on white, 8 grey).
    pub(crate) fn layer(&mut self, name: &str, colour: u8) -> usize {
        let wanted = layer_name(name);
        let mut own = wanted.clone();
        let mut count = 1;
        // Names that the format makes the same stay two layers.
        while self.layers.iter().any(|l| l.0 == own) {
            count += 1;
            let tail = format!("_{count}");
            own = format!("{}{tail}", &wanted[..wanted.len().min(LONGEST_NAME - tail.len())]);
        }
        self.layers.push((own, colour));
        self.layers.len() - 1
    }

    /// Adds a straight line.
    pub(crate) fn line(&mut self, layer: usize, from: [f64; 2], to: [f64; 2]) {
        pair(&mut self.entities, 0, "LINE");
        pair(&mut self.entities, 8, &self.layers[layer].0);
        for (codes, point) in [([10, 20, 30], from), ([11, 21, 31], to)] {
            for (code, value) in codes.into_iter().zip([point[0], point[1], 0.0]) {
                pair(&mut self.entities, code, shortest(value));
            }
        }
    }

    /// Adds lines from point to point, back to the first where it is closed.
    pub(crate) fn polyline(&mut self, layer: usize, points: &[[f64; 2]], closed: bool) {
        for pair in points.windows(2) {
            self.line(layer, pair[0], pair[1]);
        }
        if let (true, Some(first), Some(last)) = (closed, points.first(), points.last()) {
            self.line(layer, *last, *first);
        }
    }

    /// Adds words that begin at a point.
    pub(crate) fn words(&mut self, layer: usize, at: [f64; 2], words: &str) {
        pair(&mut self.entities, 0, "TEXT");
        pair(&mut self.entities, 8, &self.layers[layer].0);
        for (code, value) in [(10, at[0]), (20, at[1]), (30, 0.0), (40, TEXT_M)] {
            pair(&mut self.entities, code, shortest(value));
        }
        pair(&mut self.entities, 1, plain(words));
    }

    /// The drawing as a file.
    #[must_use]
    pub(crate) fn text(&self) -> String {
        let mut text = String::new();
        for comment in &self.comments {
            pair(&mut text, 999, comment);
        }
        let mut put = |code: u16, value: &str| pair(&mut text, code, value);
        for (code, value) in [
            (0, "SECTION"),
            (2, "HEADER"),
            (9, "$ACADVER"),
            (1, "AC1009"),
            (0, "ENDSEC"),
            (0, "SECTION"),
            (2, "TABLES"),
            (0, "TABLE"),
            (2, "LTYPE"),
            (70, "1"),
            (0, "LTYPE"),
            (2, "CONTINUOUS"),
            (70, "0"),
            (3, "Solid line"),
            (72, "65"),
            (73, "0"),
            (40, "0"),
            (0, "ENDTAB"),
            (0, "TABLE"),
            (2, "LAYER"),
        ] {
            put(code, value);
        }
        put(70, &self.layers.len().to_string());
        for (name, colour) in &self.layers {
            put(0, "LAYER");
            put(2, name);
            put(70, "0");
            put(62, &colour.to_string());
            put(6, "CONTINUOUS");
        }
        for (code, value) in [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")] {
            put(code, value);
        }
        text.push_str(&self.entities);
        pair(&mut text, 0, "ENDSEC");
        pair(&mut text, 0, "EOF");
        text
    }
}
