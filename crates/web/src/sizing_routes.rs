//! Sizing: what one wants to do on the left, what it takes on the right, what today's shop runs beside it.

use crate::app::App;
use crate::compose;
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Shared, frame_of, units_setting, value};
use crate::setup::routes::shop_at_work;
use crate::view::{Frame, SetupField, SizingPage, SizingParts};
use axum::extract::{Form, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use language::say;
use piece::{CompressorKind, Shop};
use plan::line_answer::{what_runs, widest};
use plan::network::{network, stations};
use plan::sizing::{Wanted, runs};
use quantity::{GaugePressure, Quantity, UnitSystem, known};
use std::str::FromStr;

/// The page.
pub(crate) async fn sizing(State(app): Shared, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let (frame, parts) = asked(app, &sent)?;
        Ok(Html(pages::sizing(&SizingPage { frame, parts })).into_response())
    })
    .await
}

/// What changes on it with a value.
pub(crate) async fn try_sizing(State(app): Shared, Form(sent): Form<Sent>) -> Response {
    let work = app.work(move |app| {
        let (_, parts) = asked(app, &sent)?;
        let faulty = parts.fields.iter().any(|field| field.fault.is_some());
        let status = if faulty { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
        Ok((status, Html(pages::sizing_parts(&parts))).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

fn asked(app: &App, sent: &Sent) -> Result<(Frame, SizingParts), WebError> {
    let stored = app.store.shop(shop_at_work(app)?)?;
    let shop = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
    let units = units_setting(app)?.unwrap_or(shop.units);
    let mut form = Questions { sent, units, fields: Vec::new() };
    let wanted = form.wanted();
    let fields = form.fields;
    let sized = match (&wanted, fields.iter().any(|field| field.fault.is_some())) {
        (Some(wanted), false) => wanted.sized().map_err(|fault| fault.to_string()),
        _ => Err(say!("A value does not read. Mend it where it is marked.").to_owned()),
    };
    let proposed = sized.as_ref().ok().map(|(work, sizing)| runs(sizing, work.bore));
    let today = today(&shop);
    let parts = compose::sizing_parts(fields, &shop, units, sized, proposed, today);
    let frame = Frame { units, here: "/sizing".to_owned(), ..frame_of(app, say!("Sizing"), None)? };
    Ok((frame, parts))
}

/// What the shop at work runs; `None` when its line cannot be followed.
fn today(shop: &Shop) -> Option<air::map::RunMap> {
    let on_line = stations(shop, shop.nozzles.first()?, known(GaugePressure::bar(1.0)));
    what_runs(&network(shop, &on_line).ok()?, widest(shop)).ok()
}

/// The form, read question by question.
struct Questions<'a> {
    sent: &'a Sent,
    units: UnitSystem,
    fields: Vec<SetupField>,
}

fn kinds() -> [(&'static str, &'static str, CompressorKind); 5] {
    [
        ("two_stage", say!("two-stage piston"), CompressorKind::TwoStage),
        ("single_stage", say!("single-stage piston"), CompressorKind::SingleStage),
        ("screw", say!("rotary screw"), CompressorKind::Screw),
        ("small_piston", say!("small piston"), CompressorKind::SmallPiston),
        ("diaphragm", say!("diaphragm pump"), CompressorKind::Diaphragm),
    ]
}

impl Questions<'_> {
    fn wanted(&mut self) -> Option<Wanted> {
        let metric = self.units == UnitSystem::Metric;
        let usual =
            |metric_text: &str, us_text: &str| language::number(if metric { metric_text } else { us_text }.to_owned());
        let bore = self.quantity(
            "bore",
            say!("nozzle bore"),
            say!("1.2 mm for lines, 3 mm for ground"),
            &usual("2.4mm", "3/32in"),
        );
        let pressure = self.quantity(
            "pressure",
            say!("at the nozzle"),
            say!("glass 2 to 3 bar, stone up to 6"),
            &usual("2.8bar", "40psi"),
        );
        let on = self.quantity("on", say!("blasting in ten minutes"), say!("all of them: 10min"), "6min");
        let stations = self.parsed("stations", say!("nozzles at once"), say!("people who blast at the same time"), "1");
        let growth = self.quantity("growth", say!("room to grow"), say!("a worn bore alone takes a fifth more"), "20%");
        let hose = self.quantity("hose", say!("hose to each"), say!("regulator to nozzle"), &usual("8m", "25ft"));
        let loss_max = self.quantity(
            "loss",
            say!("hose and regulator may take"),
            say!("a tenth of the pressure is usual"),
            &usual("0.3bar", "4psi"),
        );
        let altitude_m = self.parsed("altitude", say!("metres above the sea"), "", "0");
        let kind = self.kind();
        Some(Wanted {
            bore: bore?,
            pressure: pressure?,
            on: on?,
            growth: growth?,
            stations: stations?,
            hose: hose?,
            loss_max: loss_max?,
            kind,
            loading: 0.0,
            altitude_m: altitude_m?,
        })
    }

    fn quantity<Q: Quantity>(&mut self, key: &str, label: &str, hint: &'static str, usual: &str) -> Option<Q> {
        self.ask(key, label, hint, usual, |text| quantity::parse::parse(text).map_err(|fault| fault.to_string()))
    }

    fn parsed<N: FromStr>(&mut self, key: &str, label: &str, hint: &'static str, usual: &str) -> Option<N> {
        let number = |text: &str| text.parse::<N>().map_err(|_| say!("\"{text}\" is not a number that fits here"));
        self.ask(key, label, hint, usual, number)
    }

    fn ask<V>(
        &mut self,
        key: &str,
        label: &str,
        hint: &'static str,
        usual: &str,
        read: impl Fn(&str) -> Result<V, String>,
    ) -> Option<V> {
        let text = value(self.sent, key).map(str::trim).filter(|text| !text.is_empty()).unwrap_or(usual).to_owned();
        let read = read(&text);
        let (key, label, fault) = (key.to_owned(), label.to_owned(), read.as_ref().err().cloned());
        self.fields.push(SetupField { key, label, hint, value: text, choices: Vec::new(), fault });
        read.ok()
    }

    fn kind(&mut self) -> CompressorKind {
        let chosen = value(self.sent, "kind").unwrap_or_default();
        let kinds = kinds();
        let kind = kinds.iter().find(|(id, ..)| *id == chosen).unwrap_or(&kinds[0]);
        let choice = |&(id, words, _): &(&str, &str, CompressorKind)| crate::view::Choice {
            value: id.to_owned(),
            words: words.to_owned(),
            selected: id == kind.0,
        };
        self.fields.push(SetupField {
            key: "kind".to_owned(),
            label: say!("compressor").to_owned(),
            hint: say!("its usual duty and pressures are taken"),
            value: kind.0.to_owned(),
            choices: kinds.iter().map(choice).collect(),
            fault: None,
        });
        kind.2
    }
}
