//! What a log's gauged depths teach, for programs: the coupons they make, and their keeping in the shop's file.

use super::routes::{Answer, Body, matched, shop_answer, work};
use crate::error::WebError;
use crate::learn_routes::Lesson;
use crate::routes::{Id, Shared};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::IntoResponse as _;
use piece::shop_file::CouponPart;
use plan::logged;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a log teaches.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct LessonView {
    /// Revision of the shop to which the coupons would be added; it is what If-Match names.
    pub shop_revision: u32,
    /// What the depth gauge is taken to be good for.
    pub gauge: String,
    /// Each gauged depth.
    pub depths: Vec<CouponView>,
    /// The piece's plan in one sentence, as it is.
    pub now: String,
    /// And as it would be with the coupons; null when there is none to add.
    pub then: Option<String>,
}

/// A gauged depth and the coupon that it makes.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct CouponView {
    /// The layer that was gauged.
    pub layer: String,
    /// How deep it was.
    pub depth_mm: f64,
    /// The row of the shop's file; null when the depth makes none.
    pub coupon: Option<CouponPart>,
    /// Why it makes none.
    pub why_not: Option<String>,
}

/// Coupons to be kept.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeepCouponsBody {
    /// What the depth gauge is good for, such as "0.02mm"; left out: a caliper.
    pub gauge: Option<String>,
}

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    gauge: Option<String>,
}

/// What a log teaches; nothing is kept.
pub(super) async fn lesson(
    State(app): Shared,
    Path((id, run)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Answer {
    work(app, move |app| {
        let lesson = Lesson::new(app, Id::of(&id)?, counted(&run)?, asked.gauge.as_deref())?;
        let depths = lesson.coupons.iter().map(|(depth, coupon)| CouponView {
            layer: depth.layer.clone(),
            depth_mm: depth.depth_mm,
            coupon: coupon.as_ref().ok().map(logged::row),
            why_not: coupon.as_ref().err().map(ToString::to_string),
        });
        let (now, then) = lesson.sentences(app)?;
        let (shop_revision, gauge) = (lesson.shop_revision, lesson.gauge.clone());
        Ok(Json(LessonView { shop_revision, gauge, depths: depths.collect(), now, then }).into_response())
    })
    .await
}

fn counted(run: &str) -> Result<i64, WebError> {
    run.parse().map_err(|_| WebError::NotFound)
}

/// Adds the coupons of a log to the shop's file, and answers the shop.
pub(super) async fn keep(
    State(app): Shared,
    Path((id, run)): Path<(String, String)>,
    headers: HeaderMap,
    body: Body<KeepCouponsBody>,
) -> Answer {
    work(app, move |app| {
        let Json(body) = body?;
        let lesson = Lesson::new(app, Id::of(&id)?, counted(&run)?, body.gauge.as_deref())?;
        let revision = matched(&headers, lesson.shop_revision)?;
        let shop = lesson.keep(app, revision)?;
        shop_answer(app, shop)
    })
    .await
}
