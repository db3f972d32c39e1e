use std::time::Instant;
use taktwright::diagnostic::*;
use taktwright::simulate::*;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&args[1]).unwrap();
    let read = taktwright::read("x.line", &MapSources::one("x.line", &text), &[]);
    print!("{}", render_text(&read.faults, &read.map, false));
    let n: u32 = args.get(2).map_or(20, |s| s.parse().unwrap());
    let shifts: u32 = args.get(3).map_or(20, |s| s.parse().unwrap());
    for line in &read.layouts {
        let h = if line.calendar.is_some() {
            Horizon::Shifts(shifts)
        } else {
            Horizon::Units(shifts as u64 * 1000)
        };
        let settings = Settings {
            seed: 1,
            first: 0,
            count: n,
            horizon: h,
            warm_up: if line.calendar.is_some() { WarmUp::None } else { WarmUp::Units(2000) },
            record_finishes: false,
            faster: None,
        };
        let start = Instant::now();
        match simulate(line, &settings, &Unattended) {
            Ok(o) => {
                let s = start.elapsed().as_secs_f64();
                let f: u64 = o.replications.iter().map(|r| r.finished).sum();
                let e: u64 = o.replications.iter().map(|r| r.events).sum();
                let net: f64 = o.replications.iter().map(|r| r.net.as_minutes()).sum();
                println!(
                    "{}: finished {} per shift {:.3}, interval {:.3} min; events {} {:.2} M/s; {:.2} s",
                    line.layout,
                    f,
                    f as f64 / (n * shifts) as f64,
                    net / f as f64,
                    e,
                    e as f64 / s / 1e6,
                    s
                );
                let r = &o.replications[0];
                println!("   little {} shifts {:?}", r.presence - r.unit_time, r.per_shift);
                for (p, c) in line.places.iter().zip(&r.places) {
                    println!(
                        "   {:4} last {:5.1}% delay {:7.1} visits {:4} net-res {} {}",
                        p.name,
                        c.last_millionths as f64
                            / 1e4
                            / r.segments.iter().map(|s| s.pushes).sum::<u64>().max(1) as f64,
                        c.delay_caused.as_minutes(),
                        c.visits,
                        c.states.iter().sum::<i64>() - r.net.0 * p.bays as i64,
                        BayState::ALL
                            .iter()
                            .zip(c.states)
                            .filter(|(_, v)| *v > 0)
                            .map(|(s, v)| format!(
                                "{} {:.1}%",
                                s.words(),
                                v as f64 * 100.0 / (r.net.0 * p.bays as i64) as f64
                            ))
                            .collect::<Vec<_>>()
                            .join(", ")
                    );
                }
                for (t, c) in line.tests.iter().zip(&r.tests) {
                    println!(
                        "   test {} arrivals {} attempts {} fp {}/{} wait mean {:?} q {:.3}",
                        t.name,
                        c.arrivals,
                        c.attempts,
                        c.first_passes,
                        c.first_attempts,
                        c.waits.mean().map(|m| m / 6e7),
                        c.queue as f64 / r.clock.0 as f64
                    );
                }
                for h in &r.holds {
                    println!("   hold min {} shortest {} count {}", h.minimum, h.shortest, h.count);
                }
            }
            Err(e) => println!("{}: {:?} {}", line.layout, e, e.at),
        }
    }
}
