//! A problem read from its interchange JSON; what is left out takes the defaults.

use serde_json::Value;

use super::error::ProblemError;
use super::field::{Field, Range};
use super::problem::{
    Class, Costs, End, Noise, Problem, Relaxed, Samples, State, Supply, Tank, TankState, UseByClass,
};

/// Most bytes of a problem.
const MOST_BYTES: usize = 32 << 20;
/// Most samples: a year of quarter hours and more.
const MOST_SAMPLES: usize = 40_000;
/// Days of use held in reserve where no reserve is given; common practice.
const RESERVE_DAYS: f64 = 5.0;

const TONNES: Range = Range(0.0, 100_000.0, "give tonnes");
const RATE: Range = Range(0.0, 100_000.0, "give tonnes in 24 hours");
const PRICE: Range = Range(0.0, 1.0e6, "give the ship's own price, not below nought");
const SPREAD: Range = Range(0.0, 1.0, "give the standard deviation as a share: 0.15 for 15 %");
const SHARE: Range = Range(0.0, 1.0, "give a share of one");
const ZONE: Range = Range(-14.0, 14.0, "give the hours of the ship's clock ahead of UTC");
const MINUTES: Range = Range(1.0, 1440.0, "give minutes, a day at most");

impl Problem {
    /// Reads and checks a problem.
    ///
    /// Needed are `samples.allowed`, `samples.make_t_day` and `samples.use_t_day` (or `use_by_class`), all of one
    /// length, and stock and ceiling (or the tanks); all else has a default. Keys that are not known are passed over.
    ///
    /// # Errors
    /// The first thing that cannot be taken, with its path, value, range and remedy.
    pub fn from_json(text: &[u8]) -> Result<Self, ProblemError> {
        if text.len() > MOST_BYTES {
            return Err(ProblemError::TooLarge { bytes: text.len(), most: MOST_BYTES });
        }
        let value: Value = serde_json::from_slice(text).map_err(|e| ProblemError::NotJson {
            line: e.line(),
            column: e.column(),
            why: e.to_string().split(" at line ").next().unwrap_or_default().to_owned(),
        })?;
        problem(&Field::root(&value))
    }
}

fn problem(root: &Field) -> Result<Problem, ProblemError> {
    let step_min =
        root.number_or("step_min", Range(1.0, 120.0, "give minutes, 15 as a rule"), 15.0)?;
    let name = root.get("name")?.map_or(Ok(String::new()), |f| f.text())?;
    let start_utc = root.get("start_utc")?.map(|f| f.text()).transpose()?;
    let tanks = tanks(root)?;
    let given = root.need("samples", "give the samples of the passage")?;
    let samples = samples(&given, &tanks)?;
    let n = samples.len();

    let empty = Value::Object(serde_json::Map::new());
    let part = |key: &str| -> Result<Field, ProblemError> {
        let field = root.get(key)?;
        Ok(field.unwrap_or(Field { path: key.to_owned(), value: &empty }))
    };
    let plant = part("plant")?;
    let start_min = plant.number_or("start_min", MINUTES, 75.0)?;
    let stop_min = plant.number_or("stop_min", MINUTES, 45.0)?;
    let levels = levels(&plant, samples.boost_t_day.is_some())?;
    let costs = costs(&part("costs")?, n)?;
    let initial = part("initial")?;
    let stock_t = match initial.get("stock_t")? {
        Some(stock) => stock.number(TONNES)?,
        None if tanks.is_empty() => {
            let remedy = "give the pumpable stock, or the tanks with their soundings";
            return Err(ProblemError::Missing { path: initial.below("stock_t"), remedy });
        }
        None => pumpable(&tanks),
    };
    let stock_sd_t = initial.number_or("stock_sd_t", TONNES, 0.0)?;
    let state = state(&initial, (start_min, stop_min, step_min), levels.len())?;
    let end = part("end")?;
    let target = samples.reserve_t.last().copied().unwrap_or(0.0);
    let end = End {
        target_t: end.number_or("target_t", TONNES, target)?,
        price_t: end.number_or("price_t", PRICE, 9.0)?,
    };
    Ok(Problem {
        name,
        step_min,
        start_utc,
        stock_t,
        stock_sd_t,
        state,
        start_min,
        stop_min,
        levels,
        costs,
        supply: supply(root, n)?,
        end,
        noise: noise(&part("noise")?)?,
        tanks,
        relaxed: relaxed(&part("relaxed")?, n)?,
        samples,
    })
}

fn pumpable(tanks: &[Tank]) -> f64 {
    let open = tanks.iter().filter(|t| t.state != TankState::SetApart);
    open.map(|t| (t.stock_t - t.dead_t).max(0.0)).sum()
}

fn samples(s: &Field, tanks: &[Tank]) -> Result<Samples, ProblemError> {
    let allowed = s.need("allowed", "say for each sample whether water may go to a tank")?;
    let n = allowed.list()?.len();
    if n == 0 || n > MOST_SAMPLES {
        return Err(ProblemError::OutOfRange {
            path: format!("{} (length)", allowed.path),
            value: n as f64,
            range: (1.0, MOST_SAMPLES as f64),
            remedy: "give at least one sample, and a year of quarter hours at most",
        });
    }
    let flags = |key: &str| s.get(key)?.map_or(Ok(vec![true; n]), |f| f.flags(n));
    let make = s.need("make_t_day", "give the output at full trim over each step")?;
    let by_class = s.get("use_by_class")?.map(|f| use_by_class(&f, n)).transpose()?;
    let use_t_day = match (s.get("use_t_day")?, &by_class) {
        (Some(given), _) => given.numbers(n, RATE)?,
        (None, Some(c)) => (0..n)
            .map(|k| c.drinking[k] + c.domestic[k] + c.technical[k] + c.wash_down[k])
            .collect(),
        (None, None) => {
            let remedy = "give what is used over each step";
            return Err(ProblemError::Missing { path: s.below("use_t_day"), remedy });
        }
    };
    let use_scatter_t_day = match (s.get("use_scatter_t_day")?, &by_class) {
        (Some(given), _) => {
            let scatter = given.numbers(n, RATE)?;
            let over = (0..n).find(|k| scatter[*k] > use_t_day[*k] + 1.0e-9);
            if let Some(k) = over {
                return Err(ProblemError::Conflict {
                    path: format!("{}[{k}]", given.path),
                    value: scatter[k],
                    most: use_t_day[k],
                    remedy: "what scatters is a part of what is used",
                });
            }
            scatter
        }
        // Dated draws do not scatter.
        (None, Some(c)) => {
            use_t_day.iter().zip(&c.wash_down).map(|(all, dated)| (all - dated).max(0.0)).collect()
        }
        (None, None) => use_t_day.clone(),
    };
    let ceiling_t = match s.get("ceiling_t")? {
        Some(given) => given.spread(n, TONNES)?,
        None if tanks.is_empty() => {
            let remedy = "give the most that the tanks may hold, or the tanks";
            return Err(ProblemError::Missing { path: s.below("ceiling_t"), remedy });
        }
        None => {
            let open = tanks.iter().filter(|t| t.state != TankState::SetApart);
            vec![open.map(|t| t.cap_t - t.dead_t).sum(); n]
        }
    };
    let reserve_t = match s.get("reserve_t")? {
        Some(given) => given.spread(n, TONNES)?,
        None => use_scatter_t_day.iter().map(|u| u * RESERVE_DAYS).collect(),
    };
    Ok(Samples {
        why: s.get("why")?.map_or(Ok(Vec::new()), |f| f.texts(n))?,
        manned: flags("manned")?,
        run_ok: flags("run_ok")?,
        under_way: flags("under_way")?,
        carry: s.get("carry")?.map_or(Ok(vec![1.0; n]), |f| f.spread(n, SHARE))?,
        make_t_day: make.numbers(n, RATE)?,
        boost_t_day: s.get("boost_t_day")?.map(|f| f.numbers(n, RATE)).transpose()?,
        use_t_day,
        use_scatter_t_day,
        use_by_class: by_class,
        ceiling_t,
        reserve_t,
        sea_slope_per_k: s.get("sea_slope_per_k")?.map_or(Ok(vec![0.0; n]), |f| {
            f.spread(n, Range(-1.0, 1.0, "give d ln(output) over K, -0.02 or so"))
        })?,
        technical_only: s.get("technical_only")?.map(|f| f.flags(n)).transpose()?,
        zone_h: s.get("zone_h")?.map(|f| f.spread(n, ZONE)).transpose()?,
        allowed: allowed.flags(n)?,
    })
}

fn use_by_class(c: &Field, n: usize) -> Result<UseByClass, ProblemError> {
    let rates = |key: &str| c.get(key)?.map_or(Ok(vec![0.0; n]), |f| f.spread(n, RATE));
    Ok(UseByClass {
        drinking: rates("drinking")?,
        domestic: rates("domestic")?,
        technical: rates("technical")?,
        wash_down: rates("wash_down")?,
    })
}

fn levels(plant: &Field, boost: bool) -> Result<Vec<f64>, ProblemError> {
    let Some(given) = plant.get("levels")? else { return Ok(vec![1.0, 0.5]) };
    let list = given.list()?;
    let most = if boost { 3 } else { 4 };
    if list.is_empty() || list.len() > most {
        return Err(ProblemError::OutOfRange {
            path: format!("{} (length)", given.path),
            value: list.len() as f64,
            range: (1.0, most as f64),
            remedy: "give the trims that are used, full output first",
        });
    }
    let share = Range(0.01, 1.0, "give a share of full output");
    list.iter().map(|f| f.number(share)).collect()
}

fn costs(c: &Field, n: usize) -> Result<Costs, ProblemError> {
    let price = |key: &str, otherwise: f64| c.number_or(key, PRICE, otherwise);
    let spread = |key: &str, otherwise: f64| {
        c.get(key)?.map_or(Ok(vec![otherwise; n]), |f| f.spread(n, PRICE))
    };
    Ok(Costs {
        start: price("start", 40.0)?,
        retrim: price("retrim", 5.0)?,
        run_h: price("run_h", 2.0)?,
        make_t: spread("make_t", 0.3)?,
        boost_h: spread("boost_h", 0.0)?,
        carry_t_day: price("carry_t_day", 0.15)?,
        callout: price("callout", 150.0)?,
        shortfall_t: price("shortfall_t", 200.0)?,
        below_reserve_t_day: price("below_reserve_t_day", 30.0)?,
        spill_t: price("spill_t", 1.0)?,
    })
}

fn state(
    initial: &Field,
    (start_min, stop_min, step_min): (f64, f64, f64),
    levels: usize,
) -> Result<State, ProblemError> {
    let Some(given) = initial.get("state")? else { return Ok(State::Off) };
    let left = |whole_min: f64| -> Result<usize, ProblemError> {
        let most = (whole_min / step_min - 1.0e-9).ceil().max(1.0);
        let range = Range(0.0, most, "give the steps still left, none more than the whole takes");
        initial.get("steps_left")?.map_or(Ok(most as usize), |f| f.count(range))
    };
    match given.text()?.as_str() {
        "off" => Ok(State::Off),
        "starting" => Ok(State::Starting { left: left(start_min)? }),
        "stopping" => Ok(State::Stopping { left: left(stop_min)? }),
        "making" => {
            let range = Range(0.0, (levels - 1) as f64, "count as in plant.levels, from 0");
            Ok(State::Making { trim: initial.get("trim")?.map_or(Ok(0), |f| f.count(range))? })
        }
        _ => Err(ProblemError::WrongKind {
            path: given.path.clone(),
            got: given.value.to_string(),
            wanted: "off, starting, making or stopping",
        }),
    }
}

fn supply(root: &Field, n: usize) -> Result<Vec<Supply>, ProblemError> {
    let Some(given) = root.get("supply")? else { return Ok(Vec::new()) };
    let list = given.list()?;
    if list.len() > 200 {
        return Err(ProblemError::OutOfRange {
            path: format!("{} (length)", given.path),
            value: list.len() as f64,
            range: (0.0, 200.0),
            remedy: "name only what may really be had",
        });
    }
    let last = Range(0.0, (n - 1) as f64, "give a sample of this passage, from 0");
    let mut supplies = Vec::with_capacity(list.len());
    for s in &list {
        supplies.push(Supply {
            name: s.get("name")?.map_or(Ok("water from outside".to_owned()), |f| f.text())?,
            at: s.need("at", "give the sample at which it may be had")?.count(last)?,
            price_t: s.need("price_t", "give the price of a tonne")?.number(PRICE)?,
            fixed: s.number_or("fixed", PRICE, 0.0)?,
            max_t: s.need("max_t", "give the most that may be had, in tonnes")?.number(TONNES)?,
        });
    }
    supplies.sort_by_key(|s| s.at);
    Ok(supplies)
}

fn noise(f: &Field) -> Result<Noise, ProblemError> {
    let d = Noise::default();
    let days = Range(0.0, 1000.0, "give the days in which a departure fades");
    Ok(Noise {
        use_day: f.number_or("use_day", SPREAD, d.use_day)?,
        use_mean: f.number_or("use_mean", SPREAD, d.use_mean)?,
        output: f.number_or("output", SPREAD, d.output)?,
        output_days: f.number_or("output_days", days, d.output_days)?,
        sea_k: f.number_or("sea_k", Range(0.0, 10.0, "give kelvins"), d.sea_k)?,
        speed: f.number_or("speed", Range(0.0, 0.5, "give a share of the speed"), d.speed)?,
        alpha: f.number_or("alpha", SHARE, d.alpha)?,
    })
}

fn tanks(root: &Field) -> Result<Vec<Tank>, ProblemError> {
    let Some(given) = root.get("tanks")? else { return Ok(Vec::new()) };
    let list = given.list()?;
    if list.len() > 40 {
        return Err(ProblemError::OutOfRange {
            path: format!("{} (length)", given.path),
            value: list.len() as f64,
            range: (0.0, 40.0),
            remedy: "name the fresh-water tanks only",
        });
    }
    list.iter().map(tank).collect()
}

fn tank(t: &Field) -> Result<Tank, ProblemError> {
    let cap_t = t.need("cap_t", "give what it holds when full")?.number(TONNES)?;
    let word = |field: &Field, wanted| ProblemError::WrongKind {
        path: field.path.clone(),
        got: field.value.to_string(),
        wanted,
    };
    let cls = t.need("cls", "write drinking, domestic or technical")?;
    let class = match cls.text()?.as_str() {
        "drinking" => Class::Drinking,
        "domestic" => Class::Domestic,
        "technical" | "distilled" => Class::Technical,
        _ => return Err(word(&cls, "drinking, domestic or technical")),
    };
    let state = match t.get("state")? {
        None => TankState::Ready,
        Some(field) => match field.text()?.as_str() {
            "" | "ready" | "idle" | "standing" | "in use" => TankState::Ready,
            "serving" => TankState::Serving,
            "filling" => TankState::Filling,
            "set_apart" | "set apart" => TankState::SetApart,
            _ => return Err(word(&field, "ready, serving, filling or set_apart")),
        },
    };
    let within = |key: &str, otherwise: f64| -> Result<f64, ProblemError> {
        let value = t.number_or(key, TONNES, otherwise)?;
        if value <= cap_t {
            return Ok(value);
        }
        Err(ProblemError::Conflict {
            path: t.below(key),
            value,
            most: cap_t,
            remedy: "sound it again: it holds no more than its capacity",
        })
    };
    Ok(Tank {
        name: t.need("name", "give the tank's name aboard")?.text()?,
        class,
        cap_t,
        stock_t: within("stock_t", 0.0)?,
        dead_t: within("dead_t", 0.0)?,
        state,
        undosed_t: t.get("undosed_t")?.map(|_| within("undosed_t", 0.0)).transpose()?,
    })
}

fn relaxed(r: &Field, n: usize) -> Result<Relaxed, ProblemError> {
    let allowed = |key: &str| -> Result<Option<Vec<bool>>, ProblemError> {
        let Some(field) = r.get(key)? else { return Ok(None) };
        field.need("allowed", "give allowed with this rule relaxed")?.flags(n).map(Some)
    };
    let load = r.get("load_plus_5")?;
    Ok(Relaxed {
        hour_later: allowed("hour_later")?,
        five_nmi_nearer: allowed("five_nmi_nearer")?,
        load_plus_5: load
            .as_ref()
            .map(|f| f.need("make_t_day", "give the output at 5 % more load")?.numbers(n, RATE))
            .transpose()?,
        load_plus_5_fuel_h: load.map_or(Ok(0.0), |f| f.number_or("fuel_cost_h", PRICE, 0.0))?,
    })
}
