use super::Solid;

/// Bytes of the header of a binary STL file.
const HEADER: usize = 80;

/// A body as binary STL: `says` stands in the header as far as it goes, corners as they are.
#[must_use]
pub(crate) fn stl(solid: &Solid, says: &str) -> Vec<u8> {
    // A header that begins with "solid" would be taken for the text form.
    let mut header = says.replace(|c: char| !(c.is_ascii_graphic() || c == ' '), "?").into_bytes();
    header.resize(HEADER, b' ');
    let mut bytes = header;
    let triangles: Vec<_> = solid.triangles().collect();
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for [a, b, c] in triangles {
        let normal = (b - a).cross(&(c - a)).try_normalize(0.0).unwrap_or_default();
        for vector in [normal, a, b, c] {
            vector.iter().for_each(|x| bytes.extend((*x as f32).to_le_bytes()));
        }
        bytes.extend([0, 0]);
    }
    bytes
}
