//! Findings, remedies and cautions in words.

use crate::form::{CENTRE, Kind, PLACE, depth_name, exact};
use crate::view::{Caution, Finding, Remedy, StepCautions};
use piece::{Piece, Select};
use plan::{Change, Plan, words};
use quantity::UnitSystem;

/// The findings, worst first; the id of each stays while others come and go.
pub(super) fn findings(plan: &Plan) -> Vec<Finding> {
    let all = plan.findings.iter().enumerate();
    all.map(|(at, one)| {
        let alike = plan.findings[..at].iter().filter(|other| other.check.id() == one.check.id()).count();
        let number = (!one.places.is_empty()).then_some(at + 1);
        Finding { number, ..finding(format!("{}-{}", one.check.id(), alike + 1), one, plan) }
    })
    .collect()
}

fn finding(id: String, finding: &plan::Finding, plan: &Plan) -> Finding {
    let said = words::finding(finding, plan.units);
    let remedies = finding.remedies.iter().zip(said.remedies);
    Finding {
        id,
        number: None,
        state: finding.state,
        title: said.title,
        why: said.why,
        source: said.source,
        remedies: remedies
            .map(|(remedy, words)| Remedy {
                words,
                gives: remedy.gives,
                apply: applied(&remedy.changes, &plan.piece, plan.units),
            })
            .collect(),
    }
}

/// Changes as the form sends them, all of them or none; `None` when one is not of the piece.
fn applied(changes: &[Change], piece: &Piece, units: UnitSystem) -> Option<String> {
    let fields = changes.iter().map(|change| fields(change, piece, units)).collect::<Option<Vec<_>>>()?.concat();
    serde_urlencoded::to_string(fields).ok().filter(|fields| !fields.is_empty())
}

fn fields(change: &Change, piece: &Piece, units: UnitSystem) -> Option<Vec<(String, String)>> {
    let one = |field: &str, value: String| vec![(field.to_owned(), value)];
    Some(match change {
        Change::Pressure(pressure) => one("pressure", exact(*pressure, Kind::Pressure, units)),
        Change::Nozzle(name) => one("nozzle", name.clone()),
        Change::Resist(id) => one("resist", id.clone()),
        Change::Abrasive(id, grit) => one("grit", format!("{id} {grit}")),
        // A place that suited the old size need not suit the new one.
        Change::Width(width) => {
            vec![("width".to_owned(), exact(*width, Kind::Size, units)), (PLACE.to_owned(), CENTRE.to_owned())]
        }
        Change::BlankThickness(thickness) => one("thickness", exact(*thickness, Kind::Size, units)),
        Change::Depth(most) => {
            let deeper = piece.depths.iter().enumerate().filter(|(_, row)| row.depth > *most);
            deeper.map(|(row, _)| (depth_name(row), exact(*most, Kind::Depth, units))).collect()
        }
        Change::LayerDepth(layer, depth) => {
            let row = piece.depths.iter().position(|row| selects(&row.select, layer))?;
            one(&depth_name(row), exact(*depth, Kind::Depth, units))
        }
        Change::Standoff(standoff) => one("standoff", exact(*standoff, Kind::Size, units)),
        _ => return None,
    })
}

fn selects(select: &Select, layer: &str) -> bool {
    match select {
        Select::Layer(name) => name == layer,
        Select::Colour([r, g, b]) => layer.eq_ignore_ascii_case(&format!("#{r:02x}{g:02x}{b:02x}")),
    }
}

/// The cautions under the steps that they belong to.
pub(super) fn cautions(plan: &Plan) -> Vec<StepCautions> {
    let by_step = safety::caution::by_step(&plan.cautions).into_iter();
    by_step
        .map(|(step, cautions)| StepCautions {
            step: step.name(),
            cautions: cautions.into_iter().map(caution).collect(),
        })
        .collect()
}

/// Those that the start at the cabinet waits for.
pub(super) fn before_start(plan: &Plan) -> Vec<Caution> {
    plan.cautions.iter().filter(|caution| caution.step.is_before_start()).map(caution).collect()
}

fn caution(caution: &safety::caution::Caution) -> Caution {
    Caution {
        hazard: caution.hazard.to_string(),
        harm: caution.harm.to_string(),
        act: caution.act.to_string(),
        source: caution.source.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::{PIECE, SHOP};
    use quantity::{GaugePressure, Length};

    fn check(change: &Change, expected: Option<&str>) {
        let shop = piece::read_shop(SHOP, "shop.toml").unwrap();
        let piece = piece::read_piece(PIECE, "piece.toml", &shop).unwrap();
        assert_eq!(applied(std::slice::from_ref(change), &piece, UnitSystem::Metric).as_deref(), expected);
    }

    #[test]
    fn a_change_is_sent_as_fields_of_the_form() {
        let mm = |mm| Length::mm(mm).unwrap();
        check(&Change::Pressure(GaugePressure::bar(2.1).unwrap()), Some("pressure=2.1bar"));
        check(&Change::Nozzle("short 3/32".into()), Some("nozzle=short+3%2F32"));
        check(&Change::Abrasive("white_alumina".into(), "F220".into()), Some("grit=white_alumina+F220"));
        check(&Change::Width(mm(113.0)), Some("width=113mm&place=centre"));
        check(&Change::Depth(mm(0.5)), Some("depth-1=0.5mm"));
        check(&Change::LayerDepth("leaf".into(), mm(0.3)), Some("depth-2=0.3mm"));
        check(&Change::LayerDepth("nobody".into(), mm(0.3)), None);
        check(&Change::Collector(quantity::FreeFlow::cfm(300.0).unwrap()), None);
    }
}
