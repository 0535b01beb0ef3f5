//! Free solutions of the demonstration plant for a sampler in another program: one line of numbers in, one out.
//!
//! In: n, f_cb, V0 in m³/s; then scale and condenser fouling in m²K/W, air leak in kg/h, ejector factor, jacket, condenser and feed flow in
//! kg/s, carry-over factor, condenser leak in kg/h, motive and back pressure in bar g, jacket and sea water in in °C, sea salinity in
//! g/kg. Out: jacket out, sea out, vapour in °C, shell in mbar, product in t/day, salt in mg/kg; or `no` where the plant cannot run so.

use std::io::{self, BufRead, Write};

use plant::{Plant, Point, Sheet};

fn answer(line: &str) -> Option<String> {
    let numbers: Vec<f64> = line.split_whitespace().map_while(|w| w.parse().ok()).collect();
    let [
        n,
        f,
        v,
        scale,
        fouling,
        air,
        ejector,
        jacket,
        sea,
        feed,
        mesh,
        leak,
        motive,
        back,
        hot,
        cold,
        salt,
    ] = <[f64; 17]>::try_from(numbers).ok()?;
    let sheet = Sheet {
        blanketing_exponent: n,
        convective_share: f,
        rated_gas_capacity_m3_s: v,
        ..Sheet::default()
    };
    let point = Point {
        scale_m2k_w: scale,
        condenser_fouling_m2k_w: fouling,
        air_leak_kg_h: air,
        ejector_factor: ejector,
        jacket_flow_kg_s: jacket,
        condenser_flow_kg_s: sea,
        feed_flow_kg_s: Some(feed),
        demister_factor: mesh,
        condenser_leak_kg_h: leak,
        ejector_pressure_bar_g: motive,
        back_pressure_bar_g: back,
        jacket_in_c: hot,
        sea_temp_c: cold,
        sea_salinity_g_kg: salt,
        ..Point::default()
    };
    let s = Plant::calibrate(&sheet).ok()?.fitted(&point, None).ok()?;
    Some(format!(
        "{:.8} {:.8} {:.8} {:.8} {:.8} {:.8}",
        s.jacket_out_c,
        s.sea_out_c,
        s.vapour_temp_c,
        s.shell_pressure_pa * 0.01,
        s.product_t_day,
        s.product_salt_mg_kg
    ))
}

fn main() -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    for line in io::stdin().lock().lines() {
        let line = line?;
        if line == "go" {
            // All that was asked so far is wanted now.
            out.flush()?;
            continue;
        }
        writeln!(out, "{}", answer(&line).as_deref().unwrap_or("no"))?;
    }
    out.flush()
}
