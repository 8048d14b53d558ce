use sha2::{Digest, Sha256};

/// A file of more than this many bytes is known by its hash alone where files are embedded.
pub const LARGEST_EMBEDDED_BYTES: usize = 1 << 22;

/// A file that a case was read from: the case file itself, or one that it names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// Its name: of the case file the name without folders, of another file as the case gives it.
    pub name: String,
    /// SHA-256 of its bytes, as 64 hexadecimal digits: what `sha256sum` says of the file.
    pub sha256: String,
    /// Its bytes; `None` of a file of more than `LARGEST_EMBEDDED_BYTES`.
    pub content: Option<Vec<u8>>,
}

impl SourceFile {
    /// A file with these bytes.
    #[must_use]
    pub fn new(name: String, bytes: Vec<u8>) -> Self {
        let sha256 = sha256_hex(&bytes);
        Self { name, sha256, content: (bytes.len() <= LARGEST_EMBEDDED_BYTES).then_some(bytes) }
    }

    /// Its text; `None` where it is no text, or too large to be kept.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        std::str::from_utf8(self.content.as_deref()?).ok()
    }
}

/// SHA-256 (FIPS 180-4) as 64 hexadecimal digits.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// One hash of all inputs: of the hashes of the files in the order in which they were read, a line
/// each. Names do not enter, so a file that is only renamed keeps it. By other means:
/// `sha256sum case.toml section.csv | cut -c1-64 | sha256sum`.
#[must_use]
pub fn inputs_sha256(files: &[SourceFile]) -> String {
    let lines: String = files.iter().map(|f| f.sha256.clone() + "\n").collect();
    sha256_hex(lines.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's example "abc", and the hash of nothing.
    #[test]
    fn hashes_are_those_of_the_standard() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256_hex(b"abc"), abc);
        assert_eq!(sha256_hex(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    }

    #[test]
    fn a_name_does_not_enter_the_hash_and_a_letter_does() {
        let file = |name: &str, text: &str| SourceFile::new(name.into(), text.into());
        let hash = |text: &str, name: &str| inputs_sha256(&[file(name, text), file("b", "x")]);
        assert_eq!(hash("a", "one"), hash("a", "two"));
        assert_ne!(hash("a", "one"), hash("b", "one"));
    }
}
