//! The seal of a recording: a digest of all its bytes, put at their end.

use crate::sim::math::Digest;

/// A JSON object with its seal as the last key.
pub fn sealed(mut object: Vec<u8>) -> Vec<u8> {
    let seal = seal(&object);
    object.pop();
    object.extend_from_slice(ending(&seal).as_bytes());
    object
}

/// Whether a sealed object is unchanged.
pub fn fits(bytes: &[u8], found: &str) -> bool {
    let body = bytes.strip_suffix(ending(found).as_bytes());
    body.is_some_and(|body| seal(&[body, b"}"].concat()) == found)
}

fn ending(seal: &str) -> String {
    format!(",\"seal\":\"{seal}\"}}")
}

fn seal(object: &[u8]) -> String {
    let mut digest = Digest::default();
    digest.add_bytes(object);
    digest.hex()
}
