//! Answers cases of `tests/oracles/air.py`: a JSON object on each line of the input, one on each of the output.

use air::hose::friction;
use air::moisture::{VapourPressure, condensate, dew_point_at, pressure_dew_point};
use air::{Fittings, Hose, Site};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GaugePressure, Length, MassRate, Quantity, Temperature,
};
use serde_json::{Value, json};
use std::error::Error;
use std::io::BufRead;

fn main() -> Result<(), Box<dyn Error>> {
    for line in std::io::stdin().lock().lines() {
        let case: Value = serde_json::from_str(&line?)?;
        println!("{}", answer(&Case(&case)).unwrap_or_else(|fault| json!({ "refused": fault.to_string() })));
    }
    Ok(())
}

struct Case<'a>(&'a Value);

impl Case<'_> {
    fn number(&self, key: &str) -> f64 {
        self.0[key].as_f64().unwrap_or(f64::NAN)
    }

    fn celsius(&self, key: &str) -> Result<Temperature, Box<dyn Error>> {
        Ok(Temperature::celsius(self.number(key))?)
    }

    fn pascals(&self, key: &str) -> Result<AbsolutePressure, Box<dyn Error>> {
        Ok(AbsolutePressure::pascals(self.number(key))?)
    }

    fn site(&self) -> Result<Site, Box<dyn Error>> {
        Ok(Site {
            pressure: self.pascals("site_pa")?,
            temperature: self.celsius("inlet_c")?,
            humidity: Fraction::ratio(self.number("humidity"))?,
        })
    }

    fn hose(&self) -> Result<Hose, Box<dyn Error>> {
        Ok(Hose {
            bore: Diameter::mm(self.number("bore_mm"))?,
            length: Length::metres(self.number("length_m"))?,
            roughness: Length::mm(self.number("roughness_mm"))?,
            fittings: Fittings::new(self.number("k"))?,
        })
    }
}

fn answer(case: &Case) -> Result<Value, Box<dyn Error>> {
    Ok(match case.0["kind"].as_str().unwrap_or_default() {
        "friction" => json!({ "factor": friction(case.number("reynolds"), case.number("roughness")) }),
        "hose" => {
            let flow = MassRate::kg_per_second(case.number("flow_kg_s"))?;
            json!({ "outlet_pa": case.hose()?.outlet(case.pascals("inlet_pa")?, flow)?.to_pascals() })
        }
        "saturation" => json!({ "pa": VapourPressure::saturated(case.celsius("celsius")?).to_pascals() }),
        "condensate" => {
            let flow = FreeFlow::litres_per_minute(case.number("l_min"))?;
            let gauge = GaugePressure::pascals(case.number("gauge_pa"))?;
            let water = condensate(&case.site()?, flow, gauge, case.celsius("cooled_c")?)?;
            json!({ "kg_s": water.to_base() })
        }
        "dew_point" => {
            let gauge = GaugePressure::pascals(case.number("gauge_pa"))?;
            json!({ "celsius": pressure_dew_point(&case.site()?, gauge)?.to_celsius() })
        }
        "released" => {
            let dew_point = dew_point_at(case.celsius("dew_c")?, case.pascals("from_pa")?, case.pascals("to_pa")?)?;
            json!({ "celsius": dew_point.to_celsius() })
        }
        other => json!({ "refused": format!("no kind \"{other}\"") }),
    })
}
