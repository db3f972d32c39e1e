//! The JSON report as an outsider reads it: a second set of records that refuse what they don't know.
//! A field renamed, dropped or added in the report fails here first.

use serde::Deserialize;
use serde::de::DeserializeOwned;

pub fn read<T: DeserializeOwned>(json: &str) -> T {
    serde_json::from_str(json).expect("the report reads back")
}

macro_rules! strict {
    ($($name:ident { $($field:ident: $kind:ty),+ $(,)? })+) => {
        $(#[derive(Deserialize, PartialEq, Debug)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $(pub $field: $kind),+ })+
    };
}

strict! {
    Estimate { mean: f64, low: Option<f64>, high: Option<f64>, confidence: f64, n: u32 }

    Report {
        schema: String,
        version: String,
        line: String,
        layout: String,
        seed: u64,
        replications: u32,
        horizon_min: f64,
        warm_up_min: f64,
        events: u64,
        interrupted: bool,
        confidence: f64,
        net_min: f64,
        shifts: Option<u64>,
        line_measures: LineMeasures,
        stations: Vec<Station>,
        pushes: Vec<Push>,
        bottleneck: Bottleneck,
        tests: Vec<Test>,
        buffers: Vec<Places>,
        racks: Vec<Places>,
        week: Option<Week>,
        people: Vec<People>,
        floaters: Option<Vec<Floaters>>,
        helping: Option<Vec<Helping>>,
        equipment: Vec<Equipment>,
        feeders: Option<Vec<Feeder>>,
        stores: Vec<Store>,
        stops: Vec<Stop>,
        costs: Option<Costs>,
        holds: Vec<Hold>,
        windows: Vec<Window>,
        promises: Vec<Promise>,
        warnings: Vec<Warning>,
        cautions: Vec<Caution>,
    }

    Costs {
        money: String,
        per_unit: Option<Estimate>,
        people_per_unit: Option<Estimate>,
        bays_per_unit: Option<Estimate>,
        space_per_unit: Option<Estimate>,
        people_per_paid_hour: f64,
        people_per_year: f64,
        bays_per_year: f64,
        space_per_year: f64,
        floor_m2: Option<f64>,
    }

    LineMeasures {
        units_per_hour: Option<Estimate>,
        units_per_shift: Option<UnitsPerShift>,
        minutes_between_units: Interval,
        flow_time_min: FlowTime,
        flow_time_from_release_min: FlowTime,
        work_in_process: Option<Estimate>,
        first_pass_yield: Option<Estimate>,
        rolled_yield: Option<Estimate>,
        labour_min_per_unit: Option<Estimate>,
        attended_min_per_unit: Option<Estimate>,
        little_residual: i64,
        home_after_min: Option<Home>,
        finished: u64,
        scrapped: u64,
        set_aside: u64,
        models: Vec<Model>,
    }

    UnitsPerShift {
        mean: f64,
        low: Option<f64>,
        high: Option<f64>,
        confidence: f64,
        n: u32,
        sd: Option<f64>,
        p05: Option<Estimate>,
        p50: Option<Estimate>,
        p95: Option<Estimate>,
        histogram: Vec<ShiftsAt>,
        first_shift: Option<u32>,
        count: Option<f64>,
        count_from: Option<String>,
        chance_of_count: Option<Estimate>,
    }

    ShiftsAt { units: u32, shifts: u64 }

    Interval {
        mean: Option<Estimate>,
        cv: Option<Estimate>,
        p05: Option<Estimate>,
        p50: Option<Estimate>,
        p95: Option<Estimate>,
    }

    FlowTime { mean: Option<Estimate>, p50: Option<Estimate>, p90: Option<Estimate>, p95: Option<Estimate> }

    Home { mean: Option<Estimate>, p50: Option<Estimate>, p95: Option<Estimate> }

    Model { id: String, label: Option<String>, share: f64, share_finished: Option<f64> }

    Station {
        id: String,
        label: Option<String>,
        kind: String,
        feeder: Option<String>,
        bays: u32,
        crew: Option<String>,
        units: Option<Estimate>,
        shares: States,
        shares_plus_minus: Option<States>,
        in_use: Option<Estimate>,
        holding_outside_min: Option<Estimate>,
        bays_occupied: Option<Levels>,
        load: Option<f64>,
        load_with_retests: Option<f64>,
        load_by_model: Vec<ModelLoad>,
        last_to_finish: Option<Estimate>,
        delay_caused_min: Option<Estimate>,
        delay_caused_min_per_shift: Option<Estimate>,
        held_for_return: u64,
        pulled_off: Option<Estimate>,
        drifts: Option<Estimate>,
        drift_min: Option<Estimate>,
        begun_early: Option<Estimate>,
        begun_early_min: Option<Estimate>,
        bottleneck: Evidence,
    }

    States {
        stopped: f64,
        holding: f64,
        off_shift: f64,
        moving: f64,
        working: f64,
        short_of_parts: f64,
        short_of_equipment: f64,
        short_of_room: f64,
        short_of_people: f64,
        waiting_for_another_step: f64,
        blocked: f64,
        waiting_for_the_signal: f64,
        starved: f64,
    }

    Levels {
        mean: Option<Estimate>,
        p95: Option<Estimate>,
        share_full: Option<Estimate>,
        share_empty: Option<Estimate>,
    }

    ModelLoad { model: String, load: Option<f64> }

    Evidence {
        units_gained: Option<Estimate>,
        delay_caused_min: Option<Estimate>,
        pushes_last: Option<Estimate>,
        turning_point: Option<bool>,
        active_period_min: Option<Estimate>,
        in_use: Option<Estimate>,
    }

    Push {
        segment: String,
        first: String,
        last: String,
        every_min: Option<f64>,
        index_min: f64,
        pushes: u64,
        pushes_per_shift: Option<Estimate>,
        on_time: Option<Estimate>,
        delay_min: Option<Estimate>,
        delay_min_per_shift: Option<Estimate>,
        tasks_taken_along: Option<Estimate>,
        done_elsewhere_min: Option<Estimate>,
        waited_for_people_min: Option<Estimate>,
    }

    Bottleneck { station: Option<String>, sentence: String, methods: Vec<Method> }

    Method { method: String, stations: Vec<String>, figure: Option<Estimate>, unit: String }

    Test {
        id: String,
        label: Option<String>,
        station: String,
        bays: u32,
        arrivals: Option<Estimate>,
        arrivals_per_shift: Option<Estimate>,
        first_pass_yield: Option<Estimate>,
        attempts_per_unit: Option<Estimate>,
        wait_min: Wait,
        blocked_upstream: Option<Estimate>,
        queue_length: Option<Estimate>,
        chance_of_wait: Option<Estimate>,
        busy_bays: Option<Estimate>,
        service_min: Option<Estimate>,
        closed_form: Option<ClosedForm>,
        no_closed_form: Option<String>,
    }

    Wait {
        mean: Option<Estimate>,
        p50: Option<Estimate>,
        p90: Option<Estimate>,
        p95: Option<Estimate>,
        max: Option<f64>,
    }

    ClosedForm { wait_min: f64, model: String, assumptions: String, load: f64 }

    Places {
        id: String,
        label: Option<String>,
        places: u32,
        mean: Option<Estimate>,
        p95: Option<Estimate>,
        share_full: Option<Estimate>,
        share_empty: Option<Estimate>,
    }

    Week { places: Vec<WeekPlace>, hours: Vec<Hour> }

    WeekPlace {
        id: String,
        label: Option<String>,
        places: u32,
        fullest_from: Option<String>,
        fullest: Option<f64>,
        unattended: Option<f64>,
        attended: Option<f64>,
    }

    Hour { from: String, attended: f64, units: Vec<Option<f64>> }

    People {
        id: String,
        label: Option<String>,
        kind: String,
        count: u32,
        shares: Option<PeopleShares>,
        shares_plus_minus: Option<PeopleShares>,
    }

    PeopleShares { working: f64, waiting: f64, walking: Option<f64>, moving_units: Option<f64>, off_shift: f64 }

    Equipment {
        id: String,
        label: Option<String>,
        count: u32,
        shares: Option<EquipmentShares>,
        shares_plus_minus: Option<EquipmentShares>,
    }

    EquipmentShares { in_use: f64, free: f64 }
    Floaters {
        label: Option<String>,
        count: u32,
        shares: Option<FloaterShares>,
        shares_plus_minus: Option<FloaterShares>,
    }
    Helping {
        id: String,
        label: Option<String>,
        count: u32,
        at_most: f64,
        shares: Option<HelpShares>,
        shares_plus_minus: Option<HelpShares>,
        tasks: u64,
    }
    HelpShares { helping: f64, own: f64, absent: f64, standing_in: Option<f64>, mending: Option<f64> }
    FloaterShares { standing_in: f64, spare: f64, absent: f64 }

    Store {
        id: String,
        label: Option<String>,
        places: u32,
        mean: Option<Estimate>,
        share_empty: Option<Estimate>,
        share_full: Option<Estimate>,
        came: Option<Estimate>,
        used: Option<Estimate>,
        waits: Option<Estimate>,
        lots: Option<u64>,
        late_lots: Option<u64>,
        lots_kept_out: Option<u64>,
        ordering: Option<Ordering>,
        short: Option<u64>,
        missing_min: Option<f64>,
        wrong: Option<u64>,
        out_of_turn: Option<u64>,
        rekit_min: Option<f64>,
    }

    Ordering { on_order: Option<Estimate>, orders: Option<Estimate>, ran_out: Option<Estimate> }

    Feeder {
        id: String,
        label: Option<String>,
        places: Vec<String>,
        made_per_hour: Option<Estimate>,
        own_net_min: Option<f64>,
        on_the_way: Option<Estimate>,
        first_pass_yield: Option<Estimate>,
        making_min: Option<Estimate>,
        made: u64,
        lost: u64,
        lots: Option<u64>,
        trucks: Option<u64>,
    }

    Stop {
        id: String,
        label: Option<String>,
        kind: String,
        stops: u64,
        calls: Option<u64>,
        stops_per_shift: Option<Estimate>,
        length_min: Option<f64>,
        lost_min: Option<Estimate>,
        stopped: Option<Estimate>,
    }

    Hold {
        id: String,
        label: Option<String>,
        station: String,
        safety: bool,
        minimum_min: f64,
        shortest_min: Option<f64>,
        count: u64,
        restarts: u64,
        kept: bool,
    }

    Window {
        opens: String,
        closes: String,
        limit_min: f64,
        judged: u64,
        missed: u64,
        share_missed: Option<Estimate>,
    }

    Promise {
        text: String,
        verdict: String,
        estimate: Option<Estimate>,
        limit: f64,
        unit: String,
        more_replications: Option<u64>,
    }

    Warning { code: Option<String>, text: String }

    Caution { topic: String, text: String }

    CheckPage { schema: String, version: String, diagnostics: Vec<Diagnostic>, lines: Vec<LinePage> }

    Diagnostic {
        code: String,
        severity: String,
        message: String,
        file: String,
        line: u32,
        column: u32,
        end_line: u32,
        end_column: u32,
        help: Option<String>,
    }

    LinePage {
        line: String,
        layout: String,
        takt: Option<Takt>,
        pace_min: Option<f64>,
        models: Vec<Content>,
        crews: Vec<Crew>,
        groups: Vec<Group>,
        loads: Vec<Load>,
        times: Vec<TimeOf>,
    }

    Takt {
        takt_min: f64,
        net_min: Option<f64>,
        demand: Option<f64>,
        period: Option<String>,
        arithmetic: String,
    }

    Content { model: String, label: Option<String>, share: f64, labour_min: f64, elapsed_min: f64 }

    Crew { crew: String, places: Vec<String>, per_bay: bool, wanted: u32 }

    Group { group: String, existing: Option<u32>, wanted: u32, in_shifts: Option<Vec<InShift>> }

    InShift { shift: String, people: u32 }

    Load { place: String, label: Option<String>, window_min: f64, mean: f64, mean_with_retests: f64, by_model: Vec<ModelLoad> }

    TimeOf {
        step: String,
        label: Option<String>,
        place: String,
        model: Option<String>,
        people: u32,
        most_people: u32,
        mean_min: f64,
        sd_min: f64,
        p05_min: f64,
        p50_min: f64,
        p95_min: f64,
        timings: Option<u32>,
    }
}

impl States {
    pub fn sum_in_millionths(&self) -> i64 {
        [
            self.stopped,
            self.holding,
            self.off_shift,
            self.moving,
            self.working,
            self.short_of_parts,
            self.short_of_equipment,
            self.short_of_room,
            self.short_of_people,
            self.waiting_for_another_step,
            self.blocked,
            self.waiting_for_the_signal,
            self.starved,
        ]
        .iter()
        .map(|share| (share * 1e6).round() as i64)
        .sum()
    }
}
