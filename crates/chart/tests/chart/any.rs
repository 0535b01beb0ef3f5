//! Whatever the numbers and the words are, each picture stays sound.

use crate::sound::sound;
use chart::{
    Band, Clock, Envelope, Expected, ExpectedRead, Ids, Lane, Lanes, Limit, LimitStrip, Reading,
    Remark, Span, Spell, StripSize, Tank, TimeTick, Trend, Zone, evr, lanes, limit_strip,
    share_bar, spark, tanks, trend,
};
use proptest::prelude::*;

/// A number as an instrument might give it, or worse.
pub fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -50f64..150.0,
        1 => any::<f64>(),
        1 => prop_oneof![
            Just(f64::NAN),
            Just(f64::INFINITY),
            Just(f64::NEG_INFINITY),
            Just(0.0),
            Just(-0.0),
            Just(1e300),
        ],
    ]
}

/// Words as someone might type them, or worse.
pub fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "[A-Za-z ]{0,24}",
        1 => Just(String::from("<script>alert(\"&'\")</script>")),
        1 => any::<String>(),
        1 => "[a-z ]{100,200}",
    ]
}

fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop::option::weighted(0.8, number())
}

fn band() -> impl Strategy<Value = Option<Band>> {
    prop::option::of((number(), number()).prop_map(|(low, high)| Band { low, high }))
}

/// Moments near the span's, and some far from it.
fn moment() -> impl Strategy<Value = f64> {
    prop_oneof![9 => 0f64..1e6, 1 => number()]
}

fn lane() -> impl Strategy<Value = Lane> {
    let reading = (moment(), maybe(), prop::option::weighted(0.1, number()), any::<bool>())
        .prop_map(|(at_s, value, was, in_doubt)| Reading { at_s, value, was, in_doubt });
    let expected = (moment(), number(), band()).prop_map(|(at_s, middle, band)| Expected {
        at_s,
        middle,
        band,
    });
    let envelope =
        (moment(), number(), number()).prop_map(|(at_s, low, high)| Envelope { at_s, low, high });
    let limit = (number(), words()).prop_map(|(value, label)| Limit { value, label });
    let remark = (moment(), words()).prop_map(|(at_s, text)| Remark { at_s, text });
    (
        (words(), words(), 0u8..12, any::<bool>(), any::<bool>()),
        prop::collection::vec(reading, 0..40),
        prop::collection::vec(expected, 0..20),
        prop::collection::vec(envelope, 0..20),
        prop::collection::vec(limit, 0..4),
        prop::collection::vec(remark, 0..4),
        prop::option::of((number(), number())),
        maybe(),
        any::<bool>(),
    )
        .prop_map(
            |(head, mut readings, expected, envelope, limits, remarks, range, within, sorted)| {
                if sorted {
                    readings.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
                }
                let (name, unit, decimals, tall, worked_out) = head;
                Lane {
                    name,
                    unit,
                    decimals,
                    readings,
                    expected,
                    envelope,
                    limits,
                    remarks,
                    range,
                    joined_within_s: within,
                    tall,
                    worked_out,
                }
            },
        )
}

fn clock() -> impl Strategy<Value = Clock> {
    let zone = (moment(), any::<i32>()).prop_map(|(from_s, offset_s)| Zone { from_s, offset_s });
    let tick = (moment(), words()).prop_map(|(at_s, label)| TimeTick { at_s, label });
    prop_oneof![
        prop::collection::vec(zone, 0..4).prop_map(Clock::Zones),
        prop::collection::vec(tick, 0..20).prop_map(Clock::Given),
    ]
}

fn span() -> impl Strategy<Value = Span> {
    (moment(), moment()).prop_map(|(from_s, to_s)| Span { from_s, to_s })
}

fn spell() -> impl Strategy<Value = Spell> {
    (span(), words()).prop_map(|(span, label)| Spell { span, label })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn lanes_of_anything(
        title in words(), says in words(), span in span(), now_s in maybe(), clock in clock(),
        stopped in prop::collection::vec(spell(), 0..3), all in prop::collection::vec(lane(), 0..5)
    ) {
        let picture = Lanes { title, says, span, now_s, clock, stopped, lanes: all };
        let mut ids = Ids::new("p");
        // Two pictures on one page share nothing.
        let page = lanes(&mut ids, &picture) + &lanes(&mut ids, &picture);
        prop_assert_eq!(sound(&page).len(), 4);
    }

    #[test]
    fn trends_of_anything(says in words(), span in span(), now_s in maybe(), clock in clock(), lane in lane()) {
        let line = spark(&mut Ids::new("s"), &lane, span, &clock);
        let picture = Trend { says, span, now_s, clock, stopped: Vec::new(), lane };
        sound(&(trend(&mut Ids::new("p"), &picture) + &line));
    }

    #[test]
    fn strips_of_anything(
        name in words(), unit in words(), decimals in any::<u8>(), low in maybe(), high in maybe(),
        expected in band(), read in maybe(), in_doubt in any::<bool>(),
        range in prop::option::of((number(), number()))
    ) {
        let strip = LimitStrip { name, unit, decimals, low, high, expected, read, in_doubt, range };
        let mut ids = Ids::new("p");
        let page = limit_strip(&mut ids, &strip, StripSize::Row) + &limit_strip(&mut ids, &strip, StripSize::Field);
        for desc in sound(&page) {
            prop_assert_eq!(desc.contains("No reading"), !read.is_some_and(|v| v.is_finite() && v.abs() < 1e12));
        }
    }

    #[test]
    fn evidence_of_anything(
        name in words(), unit in words(), decimals in any::<u8>(), expected in number(),
        half_band in number(), read in maybe(), in_doubt in any::<bool>(), share in number()
    ) {
        let row = ExpectedRead { name: name.clone(), unit, decimals, expected, half_band, read, in_doubt };
        let mut ids = Ids::new("p");
        sound(&(evr(&mut ids, &row) + &share_bar(&mut ids, &name, share)));
    }

    #[test]
    fn tanks_of_anything(list in prop::collection::vec((words(), words(), maybe(), number()), 0..9)) {
        let list: Vec<Tank> = list
            .into_iter()
            .map(|(name, duty, content_t, capacity_t)| Tank { name, duty, content_t, capacity_t })
            .collect();
        sound(&tanks(&mut Ids::new("p"), &list));
    }
}
