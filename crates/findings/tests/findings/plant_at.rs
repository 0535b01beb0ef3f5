//! Readings of the demonstration plant with this or that the matter, without scatter: what the model itself shows.

use findings::{Instrument, ReadingSet, SetFlows};
use jiff::{SignedDuration, Timestamp};
use plant::{Plant, Point, Sheet};

/// The demonstration plant's usual healthy state: a thin deposit, a little wear.
pub fn healthy() -> Point {
    Point {
        scale_m2k_w: 1.5e-5,
        condenser_fouling_m2k_w: 3.0e-5,
        ejector_factor: 0.95,
        condenser_leak_kg_h: 0.01,
        ..Point::default()
    }
}

/// A moment so many hours after the first.
pub fn hours(hours: i64) -> Timestamp {
    let first: Timestamp = "2025-11-16T04:20:00Z".parse().unwrap();
    first.checked_add(SignedDuration::from_hours(hours)).unwrap()
}

/// Routine readings of the plant at a point; flows were set to the rated ones.
pub fn read(point: &Point, time: Timestamp) -> ReadingSet {
    let sheet = Sheet::default();
    let s = Plant::calibrate(&sheet).unwrap().free(point).unwrap();
    let mut set = ReadingSet::at(time);
    set.set = Some(SetFlows::rated(&sheet));
    set.barometer_hpa = Some(point.barometer_hpa);
    for (instrument, figure) in [
        (Instrument::JacketIn, point.jacket_in_c),
        (Instrument::SeaTemp, point.sea_temp_c),
        (Instrument::JacketOut, s.jacket_out_c),
        (Instrument::SeaOut, s.sea_out_c),
        (Instrument::VapourTemp, s.vapour_temp_c),
        (Instrument::ShellGauge, 1.0e-5 * s.shell_pressure_pa - 1.0e-3 * point.barometer_hpa),
        (Instrument::Product, s.product_t_day),
        (Instrument::ProductSalt, s.product_salt_mg_kg),
        (Instrument::EjectorPressure, point.ejector_pressure_bar_g),
    ] {
        set.put(instrument, Some(figure));
    }
    set
}

/// The further readings of the same plant: brine, vent pipe, flows by clamp-on meter.
pub fn read_more(point: &Point, time: Timestamp) -> ReadingSet {
    let s = Plant::calibrate(&Sheet::default()).unwrap().free(point).unwrap();
    let mut set = read(point, time);
    for (instrument, figure) in [
        (Instrument::BrineTemp, s.brine_temp_c),
        (Instrument::BrineSalinity, s.brine_salinity_g_kg),
        (Instrument::VentTemp, s.vent_temp_c),
        (Instrument::JacketMeter, point.jacket_flow_kg_s),
        (Instrument::SeaMeter, point.condenser_flow_kg_s),
    ] {
        set.put(instrument, Some(figure));
    }
    set
}
