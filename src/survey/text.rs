use std::io::{self, Read};

/// A file's text, and whether its letters had to be guessed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// The text without its byte-order mark.
    pub text: String,
    /// True when the bytes were not Unicode and were read as Latin-1, as older spreadsheets
    /// write them.
    pub guessed_latin_1: bool,
}

/// Reads text as spreadsheets save it: UTF-8 with or without a byte-order mark, UTF-16 with
/// one, and otherwise Latin-1, which only touches letters and signs outside of ASCII.
///
/// # Errors
/// Whatever the reader reports.
pub fn read_text(mut reader: impl Read) -> io::Result<Text> {
    let mut bytes = Vec::new();
    reader.read_to_end(&mut bytes)?;
    Ok(decode(bytes))
}

fn decode(bytes: Vec<u8>) -> Text {
    let wide = |big: bool| {
        let units = bytes[2..].chunks_exact(2).map(|pair| {
            let pair = [pair[0], pair[1]];
            if big { u16::from_be_bytes(pair) } else { u16::from_le_bytes(pair) }
        });
        char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
    };
    if bytes.starts_with(&[0xFF, 0xFE]) {
        return Text { text: wide(false), guessed_latin_1: false };
    }
    if bytes.starts_with(&[0xFE, 0xFF]) {
        return Text { text: wide(true), guessed_latin_1: false };
    }
    match String::from_utf8(bytes) {
        Ok(mut text) => {
            if text.starts_with('\u{FEFF}') {
                text.remove(0);
            }
            Text { text, guessed_latin_1: false }
        }
        Err(error) => {
            Text { text: error.into_bytes().into_iter().map(char::from).collect(), guessed_latin_1: true }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_taken_off_and_old_letters_are_read() {
        let plain = |bytes: &[u8]| read_text(bytes).unwrap();
        assert_eq!(plain("dip_deg".as_bytes()).text, "dip_deg");
        assert_eq!(plain("\u{FEFF}dip_deg".as_bytes()).text, "dip_deg");
        assert_eq!(plain(&[0xFF, 0xFE, b'4', 0, 0xB0, 0]).text, "4°");
        assert_eq!(plain(&[0xFE, 0xFF, 0, b'4', 0, 0xB0]).text, "4°");
        let old = plain(&[b'4', 0xB0]);
        assert_eq!((old.text.as_str(), old.guessed_latin_1), ("4°", true));
    }
}
