//! Control sequences of ECMA-48, byte by byte: they are written too often in a picture to be formatted.

/// A sequence being written, from its introducer on.
pub(super) struct Sequence<'b>(&'b mut Vec<u8>);

impl Sequence<'_> {
    pub(super) fn begin(bytes: &mut Vec<u8>) -> Sequence<'_> {
        bytes.extend_from_slice(b"\x1b[");
        Sequence(bytes)
    }

    /// Parameters, one at the least before it ends.
    pub(super) fn with(&mut self, parameters: &[u16]) {
        for &parameter in parameters {
            let mut unit = 1;
            while parameter / unit >= 10 {
                unit *= 10;
            }
            while unit > 0 {
                self.0.push(b'0' + (parameter / unit % 10) as u8);
                unit /= 10;
            }
            self.0.push(b';');
        }
    }

    pub(super) fn end(self, end: u8) {
        // One `;` stands too many.
        if let Some(last) = self.0.last_mut() {
            *last = end;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parameters_are_decimal_and_parted_by_semicolons() {
        let mut bytes = b"x".to_vec();
        let mut sequence = Sequence::begin(&mut bytes);
        sequence.with(&[0, 7, 10]);
        sequence.with(&[299, 65535]);
        sequence.end(b'm');
        assert_eq!(bytes, b"x\x1b[0;7;10;299;65535m");
    }
}
