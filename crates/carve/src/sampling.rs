//! Standard normal deviates for several unknowns at once: evenly spread, untied, the same on every call.

/// For each constant its `n` deviates, each slice of equal probability once.
///
/// Of several fixed orders the one least correlated with the constants before it is taken.
pub(crate) fn columns<const COUNT: usize>(n: usize) -> Vec<Vec<f64>> {
    let middles: Vec<f64> = (0..n).map(|slice| normal_deviate((slice as f64 + 0.5) / n as f64)).collect();
    let mut columns: Vec<Vec<f64>> = Vec::with_capacity(COUNT);
    for constant in 0..COUNT as u64 {
        let orders = (0..ORDERS).map(|order| reordered(&middles, constant * ORDERS + order));
        let tied =
            orders.map(|order| (columns.iter().map(|column| product(column, &order).abs()).fold(0.0, f64::max), order));
        columns.extend(tied.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, order)| order));
    }
    columns
}

/// Orders tried for each constant. With 16, no two constants of 64 samples correlate by more than 0.25.
const ORDERS: u64 = 16;

/// The deviates in an order that is fixed by `seed`.
fn reordered(middles: &[f64], seed: u64) -> Vec<f64> {
    let mut order: Vec<(u64, f64)> =
        middles.iter().zip(0u64..).map(|(&middle, i)| (mixed(seed << 32 | i), middle)).collect();
    order.sort_unstable_by_key(|&(key, _)| key);
    order.into_iter().map(|(_, middle)| middle).collect()
}

/// A number without any visible relation to its neighbours: the finishing steps of SplitMix64 (Steele,
/// Lea & Flood 2014, from memory).
pub(crate) fn mixed(number: u64) -> u64 {
    let a = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let b = (a ^ (a >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    b ^ (b >> 31)
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The standard normal deviate below which a share `p` (0 to 1, ends excluded) lies.
///
/// Source: algorithm AS 241 (PPND7), Wichura 1988, from memory; about 7 digits.
/// Checked: 0.95 gives 1.644854, 0.975 gives 1.959964, 0.001 gives -3.090232 (normal tables).
pub(crate) fn normal_deviate(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * horner(r, &[59.109_374_72, 159.291_132_02, 50.434_271_938, 3.387_132_717_9])
            / horner(r, &[67.187_563_6, 78.757_757_664, 17.895_169_469, 1.0]);
    }
    let r = (-p.min(1.0 - p).ln()).sqrt();
    let tail = if r <= 5.0 {
        let r = r - 1.6;
        horner(r, &[0.170_238_211_03, 1.306_728_481_6, 2.756_815_39, 1.423_437_277_7])
            / horner(r, &[0.120_211_329_75, 0.737_001_642_5, 1.0])
    } else {
        let r = r - 5.0;
        horner(r, &[0.017_337_203_997, 0.428_682_943_37, 3.081_226_386, 6.657_905_115])
            / horner(r, &[0.012_258_202_635, 0.241_978_942_25, 1.0])
    };
    tail.copysign(q)
}

fn horner(x: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_deviates_agree_with_the_tables() {
        for (p, want) in [(0.95, 1.644_853_6), (0.975, 1.959_964_0), (0.001, -3.090_232_3), (1e-12, -7.034_483_8)] {
            assert!((normal_deviate(p) - want).abs() < 1e-6, "{p}: {}", normal_deviate(p));
        }
    }

    #[test]
    fn samples_of_two_constants_are_not_tied() {
        for n in [32, 50, 64, 100, 200, 400] {
            let columns = columns::<12>(n);
            let mut worst: f64 = 0.0;
            for (i, a) in columns.iter().enumerate() {
                for b in &columns[..i] {
                    worst = worst.max((product(a, b) / product(a, a)).abs());
                }
            }
            println!("n {n}: worst correlation {worst:.3}");
            assert!(worst < 0.3, "n {n}: {worst}");
        }
    }
}
