use std::time::Instant;
use taktwright::diagnostic::Span;
use taktwright::line::*;
use taktwright::simulate::*;
use taktwright::units::Time;

fn serial(n: usize, slots: u32) -> Line {
    let span = Span::default();
    let places = (0..n)
        .map(|k| Place {
            name: format!("S{k}"),
            label: None,
            kind: PlaceKind::Station,
            bays: 1,
            slots: if k == 0 { 0 } else { slots },
            crew: None,
            segment: Some(SegmentId(0)),
            returns_first: true,
            span,
        })
        .collect();
    let steps = (0..n)
        .map(|k| Step {
            name: format!("t{k}"),
            label: None,
            kind: StepKind::Task,
            place: PlaceId(k as u16),
            models: vec![true],
            options: vec![],
            after: vec![],
            times: vec![TimeFor {
                dist: Dist { shape: Shape::Exponential { mean: 60e6 }, timings: None },
                factor: 1.0,
            }],
            needs: vec![vec![]],
            equipment: vec![],
            zones: vec![],
            draws_as: format!("t{k}"),
            span,
        })
        .collect();
    Line {
        name: "serial".into(),
        layout: "today".into(),
        calendar: None,
        demand: None,
        takt: None,
        pace: None,
        models: vec![Model { name: "unit".into(), label: None, share: 1.0, draws_as: "unit".into(), span }],
        options: vec![],
        sequence: Sequence { kind: SequenceKind::Random, rules: vec![], look_ahead: 50, span },
        release: Release::Saturated,
        start: StartState::Empty,
        skills: vec![],
        groups: vec![],
        people_stated: false,
        crews: vec![],
        equipment: vec![],
        zones: vec![],
        room_caps: vec![],
        places,
        on_line: n,
        segments: vec![Segment {
            name: String::new(),
            first: PlaceId(0),
            last: PlaceId(n as u16 - 1),
            rule: MoveRule::WhenReady { moving: Time(0) },
            span,
        }],
        steps,
        tests: vec![],
        windows: vec![],
        keeps: vec![],
        promises: vec![],
        confidence: 0.95,
    }
}

fn main() {
    let settings = Settings {
        seed: 1,
        first: 0,
        count: 1,
        horizon: Horizon::Units(200_000),
        warm_up: WarmUp::Units(10_000),
        record_finishes: false,
        faster: None,
    };
    for (n, slots) in [(2, 0), (3, 1), (20, 2)] {
        let line = serial(n, slots);
        let start = Instant::now();
        let r = replicate(&line, &settings, 0, &mut Unwatched).unwrap();
        let s = start.elapsed().as_secs_f64();
        println!(
            "serial {n} {slots}: {:.6} per min; {} events, {:.2} M events/s; wip {:.3}; little {}",
            r.finished as f64 / r.clock.as_minutes(),
            r.events,
            r.events as f64 / s / 1e6,
            r.presence as f64 / r.clock.0 as f64,
            r.presence - r.unit_time
        );
        for p in r.places.iter().take(3) {
            println!("   {:?} sum-net {}", p.states, p.states.iter().sum::<i64>() - r.net.0);
        }
    }
}
