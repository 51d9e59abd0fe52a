//! The stamp of a layout: a few letters that change when anything a person marks out changes.

use crate::Point;
use crate::layout::{JointKind, Layout, Support};

/// Digits and letters that cannot be taken for one another.
const LETTERS: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
/// Offset and prime of the 64-bit FNV-1a hash (G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake 3rd).
const FNV_OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
const FNV_PRIME: u64 = 0x0000_0100_0000_01b3;

impl Layout {
    /// The stamp of what was set out, such as `7KQ2-M4RA`: it stands for the numbers and places of bars, clips, joints and
    /// boards to the whole millimetre, as they are marked. Two layouts that differ in a mark have different stamps, but for one chance in
    /// 10¹².
    pub fn stamp(&self) -> String {
        let mut hash = Hash(FNV_OFFSET);
        hash.count(self.bars.len());
        for bar in &self.bars {
            hash.count(bar.number);
            hash.point(bar.from);
            hash.point(bar.to);
        }
        hash.count(self.clips.len());
        for clip in &self.clips {
            hash.count(clip.number);
            hash.count(clip.bar);
            hash.millimetres(clip.along_mm);
            match clip.on {
                Support::Joist(joist) => hash.count(joist),
                Support::Noggin(_) => hash.count(usize::MAX),
            }
        }
        for layer in &self.layers {
            hash.count(layer.joints.len());
            for joint in &layer.joints {
                hash.count(usize::from(joint.kind == JointKind::End));
                hash.point(joint.from);
                hash.point(joint.to);
            }
            for piece in &layer.pieces {
                for byte in piece.name.bytes() {
                    hash.byte(byte);
                }
                for &corner in &piece.outline {
                    hash.point(corner);
                }
            }
        }
        hash.letters()
    }
}

struct Hash(u64);

impl Hash {
    fn byte(&mut self, byte: u8) {
        self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(FNV_PRIME);
    }

    fn count(&mut self, count: usize) {
        for byte in (count as u64).to_le_bytes() {
            self.byte(byte);
        }
    }

    fn millimetres(&mut self, mm: f64) {
        for byte in (mm.round() as i64).to_le_bytes() {
            self.byte(byte);
        }
    }

    fn point(&mut self, point: Point) {
        self.millimetres(point.x_mm);
        self.millimetres(point.y_mm);
    }

    fn letters(&self) -> String {
        // The upper bits of a product are the better mixed ones.
        let mut rest = self.0 ^ (self.0 >> 32);
        let mut out = String::with_capacity(9);
        for at in 0..8 {
            if at == 4 {
                out.push('-');
            }
            out.push(LETTERS.get((rest & 31) as usize).map_or('2', |&letter| char::from(letter)));
            rest >>= 5;
        }
        out
    }
}
