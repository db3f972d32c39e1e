//! Philox4x32-10: a block of random words as a pure function of a counter and a key.
//!
//! Salmon, Moraes, Dror & Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11 (2011). No state,
//! so any draw can be made at any time, in any order, on any thread.

const MULTIPLIERS: [u32; 2] = [0xD251_1F53, 0xCD9E_8D57];
/// Golden ratio and square root of 3 less 1, as the paper has them.
const WEYL: [u32; 2] = [0x9E37_79B9, 0xBB67_AE85];

/// The block of `counter` under `key`.
pub fn philox4x32_10(counter: [u32; 4], key: [u32; 2]) -> [u32; 4] {
    let (low, high) = words(counter, key);
    [low as u32, (low >> 32) as u32, high as u32, (high >> 32) as u32]
}

/// The same block as two words, the first two of the four in the first.
///
/// Words stay in registers and the calls of a loop overlap; an array of four went through memory in
/// pieces, at twice the cost of the rounds themselves.
#[inline(always)]
pub(super) fn words([mut c0, mut c1, mut c2, mut c3]: [u32; 4], [mut k0, mut k1]: [u32; 2]) -> (u64, u64) {
    for _ in 0..10 {
        let a = u64::from(MULTIPLIERS[0]) * u64::from(c0);
        let b = u64::from(MULTIPLIERS[1]) * u64::from(c2);
        c0 = (b >> 32) as u32 ^ c1 ^ k0;
        c1 = b as u32;
        c2 = (a >> 32) as u32 ^ c3 ^ k1;
        c3 = a as u32;
        k0 = k0.wrapping_add(WEYL[0]);
        k1 = k1.wrapping_add(WEYL[1]);
    }
    (u64::from(c1) << 32 | u64::from(c0), u64::from(c3) << 32 | u64::from(c2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_agree_with_the_published_known_answers() {
        // Source: the authors' own test file of known answers (kat_vectors, "philox4x32 10").
        let ones = u32::MAX;
        for (counter, key, block) in [
            ([0; 4], [0; 2], [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]),
            ([ones; 4], [ones; 2], [0x408f_276d, 0x41c8_3b0e, 0xa20b_c7c6, 0x6d54_51fd]),
            (
                [0x243f_6a88, 0x85a3_08d3, 0x1319_8a2e, 0x0370_7344],
                [0xa409_3822, 0x299f_31d0],
                [0xd16c_fe09, 0x94fd_cceb, 0x5001_e420, 0x2412_6ea1],
            ),
        ] {
            assert_eq!(philox4x32_10(counter, key), block);
        }
    }
}
