//! What is drawn follows its law: pinned bits, moments, Kolmogorov-Smirnov, against the exact side.

use std::collections::BTreeMap;

use taktwright::draws::{Ahead, Purpose, Sampler, Scaled, Stream, moments};
use taktwright::line::{Dist, Shape};
use taktwright::numbers::{gamma, integrate};

const MINUTE: f64 = 60e6;

fn dist(shape: Shape) -> Dist {
    Dist { shape, timings: None }
}

/// One of each kind and the corners of each, by name, in minutes scaled to microseconds.
fn laws() -> Vec<(&'static str, Dist)> {
    let m = MINUTE;
    let shapes = vec![
        ("constant", Shape::Constant { value: 7.0 * m }),
        ("triangular", Shape::Triangular { low: 8.0 * m, mode: 10.0 * m, high: 14.0 * m }),
        ("triangular, mode low", Shape::Triangular { low: 8.0 * m, mode: 8.0 * m, high: 14.0 * m }),
        ("triangular, mode high", Shape::Triangular { low: 0.0, mode: 14.0 * m, high: 14.0 * m }),
        ("pert", Shape::Pert { low: 20.0 * m, mode: 26.0 * m, high: 45.0 * m }),
        ("pert, mode low", Shape::Pert { low: 20.0 * m, mode: 20.0 * m, high: 45.0 * m }),
        ("pert, mode high", Shape::Pert { low: 20.0 * m, mode: 45.0 * m, high: 45.0 * m }),
        ("uniform", Shape::Uniform { low: 8.0 * m, high: 14.0 * m }),
        ("normal", Shape::Normal { mean: 12.0 * m, sd: 3.0 * m }),
        ("normal, much cut", Shape::Normal { mean: 2.0 * m, sd: 3.0 * m }),
        ("normal, half cut", Shape::Normal { mean: 0.0, sd: 3.0 * m }),
        ("lognormal", Shape::Lognormal { mean: 20.0 * m, sd: 8.0 * m }),
        ("gamma", Shape::Gamma { mean: 12.0 * m, sd: 3.0 * m }),
        ("gamma, shape below 1", Shape::Gamma { mean: 12.0 * m, sd: 20.0 * m }),
        ("gamma, shape 1", Shape::Gamma { mean: 12.0 * m, sd: 12.0 * m }),
        ("erlang 2", Shape::Erlang { stages: 2, mean: 12.0 * m }),
        ("erlang 3", Shape::Erlang { stages: 3, mean: 12.0 * m }),
        ("erlang 4", Shape::Erlang { stages: 4, mean: 12.0 * m }),
        ("erlang 5", Shape::Erlang { stages: 5, mean: 12.0 * m }),
        ("exponential", Shape::Exponential { mean: 12.0 * m }),
        ("weibull", Shape::Weibull { shape: 1.5, mean: 12.0 * m }),
        ("weibull, shape below 1", Shape::Weibull { shape: 0.7, mean: 12.0 * m }),
        ("weibull, narrow", Shape::Weibull { shape: 60.0, mean: 12.0 * m }),
        ("one of", Shape::OneOf { values: vec![(12.0 * m, 0.7), (8.0 * m, 0.3)] }),
        ("observed", Shape::Observed { values: vec![5.0 * m, 6.0 * m, 6.0 * m, 9.0 * m, 30.0 * m] }),
    ];
    shapes.into_iter().map(|(name, shape)| (name, dist(shape))).collect()
}

fn is_discrete(shape: &Shape) -> bool {
    matches!(shape, Shape::Constant { .. } | Shape::OneOf { .. } | Shape::Observed { .. })
}

#[test]
fn the_first_draws_of_every_law_are_pinned_to_the_bit() {
    // Our own pins: a crate's feature or version that moves one moves every published number.
    let stream = Stream::new(2026, 0, Purpose::TaskTime, "pinned");
    let mut found = BTreeMap::new();
    for (name, dist) in laws() {
        let sampler = Sampler::new(&dist);
        found.insert(name, [0, 1, 2].map(|unit| sampler.draw(&stream, unit, 0).to_bits()));
    }
    let expected = BTreeMap::from(PINNED);
    assert_eq!(found, expected, "\n{found:#018x?}");
}

#[rustfmt::skip]
const PINNED: [(&str, [u64; 3]); 25] = [
    ("constant", [0x41b9_08b1_0000_0000, 0x41b9_08b1_0000_0000, 0x41b9_08b1_0000_0000]),
    ("triangular", [0x41c6_aad7_aa9a_c954, 0x41c1_a232_8747_d86a, 0x41c4_123c_7f68_d030]),
    ("triangular, mode low", [0x41c6_22ae_560d_0e4c, 0x41bf_f8a6_a937_8399, 0x41c2_f4b5_4305_ff29]),
    ("triangular, mode high", [0x41c8_1a64_1f47_ae9b, 0x41ba_e758_66e9_938c, 0x41c4_a115_f690_28fd]),
    ("pert", [0x41e0_e164_04bd_5948, 0x41d6_acda_1b22_1e85, 0x41db_b160_e856_09f0]),
    ("pert, mode low", [0x41d2_3a57_4791_b762, 0x41d9_423f_3960_f2d4, 0x41d3_cfcd_6e29_18b6]),
    ("pert, mode high", [0x41e3_f17d_3c37_244e, 0x41e0_6d89_434f_8696, 0x41e3_26c2_28eb_73a5]),
    ("uniform", [0x41c8_403b_46c9_df12, 0x41c1_6727_6714_88ac, 0x41c5_9733_98f4_39fa]),
    ("normal", [0x41cd_41d5_2b56_68c9, 0x41c2_783b_2217_b1cd, 0x41c7_f3e1_27c5_98ed]),
    ("normal, much cut", [0x41b8_5798_a894_a2e5, 0x4199_3310_cb26_8a12, 0x41ad_779d_5273_f984]),
    ("normal, half cut", [0x41b3_3c69_1e31_7889, 0x418f_c574_fb7a_e094, 0x41a5_4c1c_ac16_48ef]),
    ("lognormal", [0x41dd_11af_b0a1_8f3e, 0x41ca_ca9d_f626_28dd, 0x41d3_dc39_8868_9cbf]),
    ("gamma", [0x41cd_b63f_30b3_f2ec, 0x41c2_30ab_6a44_9069, 0x41c7_93c9_8caf_d0c9]),
    ("gamma, shape below 1", [0x41b3_7584_1f6f_abd5, 0x416e_de68_dbf8_0c35, 0x41d8_4b0f_6af9_cd46]),
    ("gamma, shape 1", [0x41dc_152c_a30f_e7e7, 0x41ad_3e6c_34ff_f302, 0x41c8_62f9_c242_2ace]),
    ("erlang 2", [0x41cc_976b_7fdf_945a, 0x41a4_92c0_389d_52b7, 0x41cf_c093_b7d7_65a0]),
    ("erlang 3", [0x41d3_b9b4_fde9_0dea, 0x41b8_8349_6961_fa75, 0x41c8_34c1_ea69_091a]),
    ("erlang 4", [0x41ce_297b_74eb_7751, 0x41bd_17ba_62dc_6508, 0x41c8_dac3_ce7e_2a60]),
    ("erlang 5", [0x41d2_60c7_c711_288a, 0x41be_9676_72ba_6c42, 0x41c8_a7d0_90ea_9335]),
    ("exponential", [0x41dc_152c_a30f_e7e7, 0x41ad_3e6c_34ff_f302, 0x41c8_62f9_c242_2ace]),
    ("weibull", [0x41d6_928a_da0d_be55, 0x41b7_30bf_2965_01d6, 0x41c9_e2ca_ec9e_e0a2]),
    ("weibull, shape below 1", [0x41e0_c123_6ab6_4e6f, 0x419d_205f_a5a8_7272, 0x41c4_59f3_f1f1_a7de]),
    ("weibull, narrow", [0x41c6_02a6_6841_28a6, 0x41c5_4663_bb04_f57c, 0x41c5_b4d8_745b_a9b8]),
    ("one of", [0x41c5_752a_0000_0000, 0x41bc_9c38_0000_0000, 0x41c5_752a_0000_0000]),
    ("observed", [0x41da_d274_8000_0000, 0x41b5_752a_0000_0000, 0x41c0_17df_8000_0000]),
];

#[test]
fn draws_follow_their_cumulative_function_by_kolmogorov_and_smirnov() {
    // 20,000 draws each; sqrt(n) D above 2.3 has probability 2 exp(-2 x 2.3^2) = 5e-5 (Kolmogorov
    // 1933, limit law), so about 1e-3 for all of them; seeds are fixed, so it holds or it does not.
    let n = 20_000_u64;
    for (name, dist) in laws().into_iter().filter(|(_, d)| !is_discrete(&d.shape)) {
        let sampler = Sampler::new(&dist);
        let stream = Stream::new(11, 4, Purpose::TaskTime, name);
        let mut draws: Vec<f64> = (0..n).map(|unit| sampler.draw(&stream, unit, 0)).collect();
        draws.sort_by(f64::total_cmp);
        let mut distance: f64 = 0.0;
        for (i, x) in draws.iter().enumerate() {
            let (before, after) = (i as f64 / n as f64, (i + 1) as f64 / n as f64);
            let exact = sampler.cdf(*x);
            distance = distance.max(exact - before).max(after - exact);
        }
        let scaled = distance * (n as f64).sqrt();
        assert!(scaled < 2.3, "{name}: {scaled}");
        assert!(scaled > 0.2, "{name}: {scaled} is too good to be chance");
    }
}

#[test]
fn a_list_is_drawn_in_its_shares() {
    let n = 100_000_u64;
    for (name, dist) in laws().into_iter().filter(|(_, d)| is_discrete(&d.shape)) {
        let sampler = Sampler::new(&dist);
        let stream = Stream::new(5, 0, Purpose::TaskTime, name);
        let mut counts: BTreeMap<u64, u64> = BTreeMap::new();
        for unit in 0..n {
            *counts.entry(sampler.draw(&stream, unit, 0).to_bits()).or_default() += 1;
        }
        for (bits, count) in counts {
            let x = f64::from_bits(bits);
            let share = sampler.cdf(x) - sampler.cdf(x - 1.0);
            let error = (share * (1.0 - share) / n as f64).sqrt();
            assert!(
                (count as f64 / n as f64 - share).abs() <= 4.0 * error,
                "{name}: {x} drawn {count} times"
            );
        }
    }
}

#[test]
fn moments_of_a_hundred_thousand_draws_are_within_four_standard_errors() {
    let n = 100_000_u64;
    for (name, dist) in laws() {
        let (mean, variance) = (moments::mean(&dist), moments::variance(&dist));
        let sampler = Sampler::new(&dist);
        let stream = Stream::new(1, 0, Purpose::RepairTime, name);
        let draws: Vec<f64> = (0..n).map(|unit| sampler.draw(&stream, unit, 0)).collect();
        assert!(draws.iter().all(|x| *x >= 0.0 && x.is_finite()), "{name}");
        let average = draws.iter().sum::<f64>() / n as f64;
        let squares = || draws.iter().map(|x| (x - mean) * (x - mean));
        let second = squares().sum::<f64>() / n as f64;
        let fourth = squares().map(|s| s * s).sum::<f64>() / n as f64;
        assert!(
            (average - mean).abs() <= 4.0 * (variance / n as f64).sqrt(),
            "{name}: mean {average}, exact {mean}"
        );
        let error = ((fourth - second * second).max(0.0) / n as f64).sqrt();
        assert!((second - variance).abs() <= 4.0 * error, "{name}: variance {second}, exact {variance}");
    }
}

#[test]
fn published_moments_come_out() {
    // Sources: any text for triangular and lognormal; PERT mean after Malcolm et al. (1959), its
    // variance that of a beta with alpha + beta = 6, recomputed by two unrelated exact means.
    let pert = dist(Shape::Pert { low: 20.0, mode: 26.0, high: 45.0 });
    assert!((moments::mean(&pert) - 169.0 / 6.0).abs() < 1e-13);
    assert!((moments::variance(&pert) - 19.64).abs() < 0.005, "{}", moments::variance(&pert));
    let triangular = dist(Shape::Triangular { low: 10.0, mode: 15.0, high: 30.0 });
    assert!((moments::mean(&triangular) - 18.3333).abs() < 0.000_05);
    assert!((moments::variance(&triangular) - 18.0556).abs() < 0.000_05);
    let lognormal = dist(Shape::Lognormal { mean: 20.0, sd: 8.0 });
    assert_eq!(moments::mean(&lognormal), 20.0);
    assert_eq!(moments::sd(&lognormal), 8.0);
    let half = dist(Shape::Normal { mean: 0.0, sd: 3.0 });
    // Half-normal: mean s sqrt(2/pi), variance s^2 (1 - 2/pi).
    assert!((moments::mean(&half) - 3.0 * (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-14);
    assert!((moments::variance(&half) - 9.0 * (1.0 - 2.0 / std::f64::consts::PI)).abs() < 1e-13);
    assert_eq!(moments::cut_mass(&half), 0.5);
    assert_eq!(moments::cut_mass(&pert), 0.0);
}

#[test]
fn moments_agree_with_the_integral_of_the_tail() {
    // E X = integral of P(X > x), E X^2 = integral of 2 x P(X > x): an independent road to both.
    for (name, dist) in laws().into_iter().filter(|(_, d)| !is_discrete(&d.shape)) {
        let sampler = Sampler::new(&dist);
        let end = sampler.quantile(1.0 - 1e-15).min(3e4 * MINUTE);
        let knots: Vec<f64> = [0.0, 1e-3, 0.25, 0.5, 0.75, 0.99, 0.999_99]
            .iter()
            .map(|p| sampler.quantile(*p))
            .chain([end])
            .collect();
        let over = |f: &dyn Fn(f64) -> f64| {
            let first = integrate(f, 0.0, knots[0], 1e-12).value;
            first + knots.windows(2).map(|k| integrate(f, k[0], k[1], 1e-12).value).sum::<f64>()
        };
        let first = over(&|x| 1.0 - sampler.cdf(x));
        let second = over(&|x| 2.0 * x * (1.0 - sampler.cdf(x)));
        let (mean, variance) = (sampler.mean(), sampler.variance());
        assert!((first / mean - 1.0).abs() < 1e-9, "{name}: mean {mean}, integral {first}");
        let square = variance + mean * mean;
        assert!((second / square - 1.0).abs() < 1e-9, "{name}: square {square}, integral {second}");
    }
}

#[test]
fn quantile_and_cumulative_function_undo_each_other() {
    for (name, dist) in laws() {
        let sampler = Sampler::new(&dist);
        for p in [1e-9, 0.001, 0.1, 0.5, 0.9, 0.999] {
            let x = sampler.quantile(p);
            if is_discrete(&dist.shape) {
                assert!(sampler.cdf(x) >= p && sampler.cdf(x - 1.0) < p, "{name} at {p}");
            } else {
                let back = sampler.cdf(x);
                // The least float times are microseconds, so a tiny p may not come back to all digits.
                assert!((back - p).abs() < 1e-9 * p + 1e-15, "{name} at {p}: {back}");
            }
        }
        assert!(sampler.quantile(-0.1).is_nan() && sampler.quantile(1.1).is_nan());
        assert!(sampler.cdf(-1.0) == 0.0 && sampler.cdf(f64::INFINITY) == 1.0, "{name}");
    }
}

#[test]
fn a_longer_day_is_longer_under_every_law_of_one_uniform() {
    let stream = Stream::new(3, 0, Purpose::TaskTime, "a");
    let rejected =
        |shape: &Shape| matches!(shape, Shape::Gamma { .. } | Shape::Pert { .. } | Shape::Erlang { .. });
    for (name, dist) in laws().into_iter().filter(|(_, d)| !rejected(&d.shape)) {
        let sampler = Sampler::new(&dist);
        let mut pairs: Vec<(f64, f64)> =
            (0..2000).map(|unit| (stream.uniform(unit, 0), sampler.draw(&stream, unit, 0))).collect();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(pairs.windows(2).all(|w| w[0].1 <= w[1].1), "{name}");
    }
}

#[test]
fn draws_of_neighbouring_units_and_visits_are_independent() {
    // Bound 4.5 standard errors of a correlation over 50,000 pairs, per law and direction.
    let n = 50_000_u64;
    for (name, dist) in laws().into_iter().filter(|(_, d)| !matches!(d.shape, Shape::Constant { .. })) {
        let sampler = Sampler::new(&dist);
        let (mean, variance) = (sampler.mean(), sampler.variance());
        let stream = Stream::new(9, 1, Purpose::TaskTime, name);
        let twin = Stream::new(9, 1, Purpose::TaskTime, &format!("{name}2"));
        let mut sums = [0.0; 3];
        for unit in 0..n {
            let here = sampler.draw(&stream, unit, 0) - mean;
            sums[0] += here * (sampler.draw(&stream, unit + 1, 0) - mean);
            sums[1] += here * (sampler.draw(&stream, unit, 1) - mean);
            sums[2] += here * (sampler.draw(&twin, unit, 0) - mean);
        }
        for (what, sum) in ["next unit", "next visit", "similar name"].iter().zip(sums) {
            let r = sum / variance / n as f64;
            assert!(r.abs() * (n as f64).sqrt() < 4.5, "{name}, {what}: correlation {r}");
        }
    }
}

#[test]
fn a_law_without_spread_is_a_constant() {
    let m = MINUTE;
    for shape in [
        Shape::Constant { value: m },
        Shape::Triangular { low: m, mode: m, high: m },
        Shape::Pert { low: m, mode: m, high: m },
        Shape::Uniform { low: m, high: m },
        Shape::Normal { mean: m, sd: 0.0 },
        Shape::Lognormal { mean: m, sd: 0.0 },
        Shape::Gamma { mean: m, sd: 1e-12 },
    ] {
        let sampler = Sampler::new(&dist(shape));
        assert_eq!(sampler.as_constant(), Some(m));
        assert_eq!((sampler.mean(), sampler.variance(), sampler.quantile(0.3)), (m, 0.0, m));
        assert_eq!((sampler.cdf(m - 1.0), sampler.cdf(m)), (0.0, 1.0));
    }
    for shape in [
        Shape::Exponential { mean: 0.0 },
        Shape::Erlang { stages: 3, mean: 0.0 },
        Shape::Weibull { shape: 2.0, mean: 0.0 },
        Shape::Gamma { mean: 0.0, sd: 0.0 },
    ] {
        assert_eq!(Sampler::new(&dist(shape)).as_constant(), Some(0.0));
    }
}

#[test]
fn a_weibull_of_shape_one_and_an_erlang_of_one_stage_are_exponential() {
    let exponential = Sampler::new(&dist(Shape::Exponential { mean: 5.0 * MINUTE }));
    let erlang = Sampler::new(&dist(Shape::Erlang { stages: 1, mean: 5.0 * MINUTE }));
    let weibull = Sampler::new(&dist(Shape::Weibull { shape: 1.0, mean: 5.0 * MINUTE }));
    let stream = Stream::new(1, 0, Purpose::StopGap, "press");
    for k in 0..100 {
        let x = exponential.draw(&stream, k, 0);
        assert_eq!(erlang.draw(&stream, k, 0), x);
        assert!((weibull.draw(&stream, k, 0) / x - 1.0).abs() < 1e-13);
    }
    assert!((weibull.variance() / exponential.variance() - 1.0).abs() < 1e-14);
    assert!((erlang.quantile(0.9) - 5.0 * MINUTE * gamma::quantile(1.0, 0.9)).abs() < 1e-3);
}

#[test]
fn draws_made_ahead_are_the_same_bits_in_any_order_of_asking() {
    for (name, dist) in laws() {
        let sampler = Sampler::new(&dist);
        let stream = Stream::new(2, 6, Purpose::TaskTime, name);
        let scaled = Scaled { sampler: sampler.clone(), factor: 1.1, least: 30_000_000 };
        let mut ahead = Ahead::new(scaled.clone(), stream);
        let in_turn = (0..40).map(|unit| (unit, 0));
        // Returning units, skipped units, repeated visits, far ends.
        let out_of_turn = [
            (3, 0),
            (39, 0),
            (36, 0),
            (15, 0),
            (39, 1),
            (200, 0),
            (203, 0),
            (150, 0),
            (201, 2),
            (u64::MAX, 0),
            (0, 0),
        ];
        for (unit, visit) in in_turn.chain(out_of_turn) {
            let alone = scaled.draw(&stream, unit, visit);
            assert_eq!(ahead.draw(unit, visit), alone, "{name}, unit {unit}, visit {visit}");
        }
        let mut odd = [0.0; 13];
        sampler.fill(&stream, u64::from(u32::MAX) - 5, 3, &mut odd);
        for (draw, unit) in odd.iter().zip(u64::from(u32::MAX) - 5..) {
            assert_eq!(draw.to_bits(), sampler.draw(&stream, unit, 3).to_bits(), "{name}, unit {unit}");
        }
    }
}

#[test]
fn the_page_lists_every_purpose_under_its_number() {
    let page = include_str!("../../docs/statistics.md");
    let table: Vec<&str> = page.lines().skip_while(|l| *l != "| purpose | number |").skip(2).collect();
    let rows: Vec<String> = table.iter().take_while(|l| l.starts_with('|')).map(|l| l.to_string()).collect();
    let expected: Vec<String> = Purpose::ALL.iter().map(|p| format!("| {p:?} | {} |", *p as u8)).collect();
    assert_eq!(rows, expected);
    let numbers: BTreeMap<u8, Purpose> = Purpose::ALL.iter().map(|p| (*p as u8, *p)).collect();
    assert_eq!(numbers.len(), Purpose::ALL.len());
}

/// The best of five rounds, nanoseconds per call.
#[expect(clippy::disallowed_methods, reason = "measures wall-clock time and decides nothing by it")]
fn nanoseconds(mut draw: impl FnMut(u64) -> f64) -> f64 {
    let n = 2_000_000_u64;
    let rounds = (0..5).map(|_| {
        let start = std::time::Instant::now();
        let mut sum = 0.0;
        for unit in 0..n {
            sum += draw(unit);
        }
        std::hint::black_box(sum);
        start.elapsed().as_secs_f64() * 1e9 / n as f64
    });
    rounds.fold(f64::INFINITY, f64::min)
}

/// `cargo test --release --test suite -- --ignored --nocapture how_long` prints a table.
#[test]
#[ignore = "prints speeds, which depend on the machine; nothing to pass or fail"]
fn how_long_one_draw_takes() {
    let stream = Stream::new(1, 0, Purpose::TaskTime, "speed");
    let block = nanoseconds(|unit| stream.block(unit, 0, 0).0 as f64);
    println!("{:>24}  {block:5.1} ns", "block of four words");
    println!("{:>24}  {:5.1} ns", "uniform", nanoseconds(|unit| stream.uniform(unit, 0)));
    for (name, dist) in laws() {
        let sampler = Sampler::new(&dist);
        let alone = nanoseconds(|unit| sampler.draw(&stream, unit, 0));
        let mut ahead = Ahead::new(Scaled { sampler, factor: 1.0, least: 0 }, stream);
        let in_turn = nanoseconds(|unit| ahead.draw(unit, 0) as f64);
        println!("{name:>24}  {alone:5.1} ns alone, {in_turn:5.1} ns ahead");
    }
}
