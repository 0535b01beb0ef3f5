//! The demonstration ship herself: an invented handysize bulk carrier and her tanks.

use crate::ship::{
    Checks, Demand, Doubts, Holds, Limits, Orders, Positions, Prices, Settings, Ship, Tank,
};

/// The *Marram*, all figures invented.
#[must_use]
pub fn marram() -> Ship {
    let sheet = plant::Sheet::default();
    let tank = |key: &str, name: &str, holds, capacity_m3, depth_cm: f64, unpumpable_m3| Tank {
        key: key.into(),
        name: name.into(),
        holds,
        capacity_m3,
        unpumpable_m3,
        // Aft peak tanks widen upwards: the lower half holds less.
        soundings: vec![
            [0.0, 0.0],
            [0.25 * depth_cm, tenth(0.20 * capacity_m3)],
            [0.5 * depth_cm, tenth(0.44 * capacity_m3)],
            [0.75 * depth_cm, tenth(0.71 * capacity_m3)],
            [depth_cm, capacity_m3],
        ],
    };
    Ship {
        name: "Marram".into(),
        kind: "handysize bulk carrier".into(),
        voyage: "Newcastle to Yokohama".into(),
        node: "A1".into(),
        crew: 22.0,
        currency: "USD".into(),
        round_hours: 4.0,
        sheet,
        unconfirmed: Vec::new(),
        positions: Positions {
            bypass: vec![
                [0.0, 16.2],
                [20.0, 14.4],
                [40.0, 11.9],
                [60.0, 8.9],
                [80.0, 5.8],
                [100.0, 3.2],
            ],
            throttle: vec![
                [0.0, 0.9],
                [20.0, 4.6],
                [40.0, 9.1],
                [60.0, 13.0],
                [80.0, 16.0],
                [100.0, 17.5],
            ],
        },
        limits: Limits::default(),
        settings: Settings { engine_jacket_out_c: 83.5, feed_pressure_bar_g: 2.4 },
        doubts: Doubts::default(),
        orders: Orders::default(),
        demand: Demand {
            technical_sea_t_day: 1.75,
            technical_port_t_day: 1.2,
            ..Demand::default()
        },
        // Two thirds of 600 x 22 a day over 46,000 t are the 0.19 of a tonne carried.
        checks: Checks { shell_volume_m3: 2.6 },
        prices: Prices { fuel_t: 600.0, fuel_day_t: 22.0, ..Prices::default() },
        trusts: Vec::new(),
        tanks: vec![
            tank("port", "Port", Holds::Fresh, 160.0, 400.0, 6.0),
            tank("starboard", "Starboard", Holds::Fresh, 160.0, 400.0, 6.0),
            tank("drinking", "Drinking", Holds::Drinking, 40.0, 290.0, 1.5),
            tank("distilled", "Distilled", Holds::Distilled, 30.0, 250.0, 1.0),
        ],
    }
}

/// As a sounding table prints it.
fn tenth(m3: f64) -> f64 {
    (10.0 * m3).round() / 10.0
}
