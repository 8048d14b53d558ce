use sha2::{Digest, Sha256};

/// A file that a case was read from: the case file itself, or one that it names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// Its name: of the case file the name without folders, of another file as the case gives it.
    pub name: String,
    /// Its text, byte for byte.
    pub text: String,
}

impl SourceFile {
    /// SHA-256 of its bytes, as 64 hexadecimal digits: what `sha256sum` says of the file.
    #[must_use]
    pub fn sha256(&self) -> String {
        sha256_hex(self.text.as_bytes())
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
    let lines: String = files.iter().map(|f| f.sha256() + "\n").collect();
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
        let file = |name: &str, text: &str| SourceFile { name: name.into(), text: text.into() };
        let hash = |text: &str, name: &str| inputs_sha256(&[file(name, text), file("b", "x")]);
        assert_eq!(hash("a", "one"), hash("a", "two"));
        assert_ne!(hash("a", "one"), hash("b", "one"));
    }
}
