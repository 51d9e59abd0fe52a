//! Which edition of the data this is.

use std::fmt::{self, Debug, Write};

use crate::{
    Activity, Background, Bar, Clip, Covering, Door, Entry, Fill, Glass, Masonry, Membrane, OutdoorSound,
    Seal, Sheet, Source, Stud, Tie, TimberGrade,
};

/// Eight hexadecimal digits made of every number and word of the catalogue: the same data have the same edition on any machine,
/// and one changed digit makes another.
///
/// ```
/// assert_eq!(catalogue::edition().len(), 8);
/// ```
pub fn edition() -> String {
    let mut digest = Digest(OFFSET);
    digest.take::<Sheet>().take::<Masonry>().take::<Fill>().take::<Membrane>().take::<Glass>();
    digest.take::<Door>().take::<Seal>().take::<Stud>().take::<Clip>().take::<Bar>().take::<Tie>();
    digest.take::<TimberGrade>().take::<Covering>().take::<Source>().take::<OutdoorSound>();
    digest.take::<Background>().take::<Activity>();
    format!("{:08x}", (digest.0 >> 32) ^ (digest.0 & 0xffff_ffff))
}

// FNV-1a of 64 bits (G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake 3rd).
const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

struct Digest(u64);

impl Digest {
    fn take<E: Entry + Debug>(&mut self) -> &mut Self {
        for entry in E::all() {
            let _ = writeln!(self, "{entry:?}");
        }
        self
    }
}

impl Write for Digest {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0 = text.bytes().fold(self.0, |digest, byte| (digest ^ u64::from(byte)).wrapping_mul(PRIME));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of its authors, from memory.
    #[test]
    fn the_digest_is_that_of_its_authors() {
        for (text, expected) in
            [("", 0xcbf2_9ce4_8422_2325), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)]
        {
            let mut digest = Digest(OFFSET);
            digest.write_str(text).unwrap();
            assert_eq!(digest.0, expected, "{text}");
        }
    }
}
