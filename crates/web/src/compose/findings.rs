//! Findings, remedies and cautions in words.

use crate::form::{CENTRE, Kind, PLACE, depth_name, exact};
use crate::view::{Caution, Finding, Remedy, StepCautions};
use piece::{OpenRecipe, Piece, Select};
use plan::{Change, Plan, Recipe, words};
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
            .map(|(remedy, words)| Remedy { words, gives: remedy.gives, apply: applied(&remedy.changes, plan) })
            .collect(),
    }
}

/// Changes as the form sends them, all of them or none; `None` when one is not of the piece.
///
/// A remedy was computed for a recipe: what the piece leaves open is sent with it, so that the next plan does not choose
/// another. The changes come last and are written over it.
fn applied(changes: &[Change], plan: &Plan) -> Option<String> {
    let (piece, units) = (&plan.piece, plan.units);
    let changed = changed(changes, piece, units).filter(|fields| !fields.is_empty())?;
    let all = [pinned(&plan.recipe, &piece.recipe, units), changed].concat();
    serde_urlencoded::to_string(all).ok()
}

fn changed(changes: &[Change], piece: &Piece, units: UnitSystem) -> Option<Vec<(String, String)>> {
    Some(changes.iter().map(|change| fields(change, piece, units)).collect::<Option<Vec<_>>>()?.concat())
}

/// What the plan chose where the piece leaves the choice to it, as fields of the form.
fn pinned(chosen: &Recipe, open: &OpenRecipe, units: UnitSystem) -> Vec<(String, String)> {
    let field = |open: bool, name: &str, value: String| open.then(|| (name.to_owned(), value));
    let grit = format!("{} {}", chosen.abrasive.id, chosen.grit.name);
    let all = [
        field(open.resist.is_none(), "resist", chosen.resist.id.clone()),
        field(open.abrasive.is_none() || open.grit.is_none(), "grit", grit),
        field(open.finish.is_none() && chosen.finish.is_some(), "finish", super::recipe::finish(chosen)),
        field(open.nozzle.is_none(), "nozzle", chosen.nozzle.name.clone()),
        field(open.pressure.is_none(), "pressure", exact(chosen.pressure, Kind::Pressure, units)),
        field(open.standoff.is_none(), "standoff", exact(chosen.standoff, Kind::Size, units)),
    ];
    all.into_iter().flatten().collect()
}

fn fields(change: &Change, piece: &Piece, units: UnitSystem) -> Option<Vec<(String, String)>> {
    let one = |field: &str, value: String| vec![(field.to_owned(), value)];
    Some(match change {
        Change::Pressure(pressure) => one("pressure", exact(*pressure, Kind::Pressure, units)),
        Change::Nozzle(name) => one("nozzle", name.clone()),
        Change::Resist(id) => one("resist", id.clone()),
        Change::Abrasive(id, grit) => {
            // One abrasive for all stages, where there were two.
            let alone = piece.recipe.finish.map(|_| ("finish".to_owned(), String::new()));
            one("grit", format!("{id} {grit}")).into_iter().chain(alone).collect()
        }
        Change::Finish(id, grit, stages) => one("finish", format!("{stages} {id} {grit}")),
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
    use crate::fixture::{ARTWORK, PIECE, SHOP};
    use quantity::{GaugePressure, Length};

    fn check(change: &Change, expected: Option<&str>) {
        let shop = piece::read_shop(SHOP, "shop.toml").unwrap();
        let piece = piece::read_piece(PIECE, "piece.toml", &shop).unwrap();
        let fields = changed(std::slice::from_ref(change), &piece, UnitSystem::Metric);
        let sent = fields.map(|fields| serde_urlencoded::to_string(fields).unwrap());
        assert_eq!(sent.as_deref(), expected);
    }

    #[test]
    fn what_the_piece_leaves_open_is_sent_with_a_remedy_and_the_change_is_written_over_it() {
        let shop = piece::read_shop(SHOP, "shop.toml").unwrap();
        let open = PIECE.replace("nozzle = \"long 1/8\"\npressure = \"40psi\"\n", "");
        let piece = piece::read_piece(&open, "piece.toml", &shop).unwrap();
        let drawing = artwork::load::load(ARTWORK.as_bytes(), &artwork::load::LoadOptions::default()).unwrap();
        let plan = plan::plan(&piece, &drawing, &shop, plan::Detail::Instant).unwrap();
        let change = Change::Nozzle("short 3/32".into());
        let sent = applied(&[change], &plan).unwrap();
        let names: Vec<String> = serde_urlencoded::from_str::<Vec<(String, String)>>(&sent)
            .unwrap()
            .into_iter()
            .map(|(name, _)| name)
            .collect();
        assert_eq!(names, ["nozzle", "pressure", "nozzle"], "{sent}");
        let sent = vec![("remedy".to_owned(), sent)];
        let tried = crate::form::try_out(&open, &sent, &shop, UnitSystem::Metric).unwrap().piece.unwrap();
        assert_eq!(tried.recipe.nozzle.as_deref(), Some("short 3/32"));
        let (kept, chosen) = (tried.recipe.pressure.unwrap().to_bar(), plan.recipe.pressure.to_bar());
        assert!((kept - chosen).abs() < 1e-6, "{kept} {chosen}");
        assert!(tried.recipe.resist.is_some() && tried.recipe.standoff.is_some());
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
