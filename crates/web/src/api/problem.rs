//! A refusal, as `application/problem+json` (RFC 9457).

use crate::error::WebError;
use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::http::header::{CONTENT_TYPE, RETRY_AFTER};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;
use store::StoreError;

/// Why a request was refused.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub(crate) struct Problem {
    /// In a few words, the same for each refusal of its kind.
    pub title: String,
    /// The status of the answer.
    #[schemars(range(min = 400, max = 599))]
    pub status: u16,
    /// What is wrong with this request, and the mend.
    pub detail: String,
    /// Key of the value that is wrong, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<&'static str>,
}

impl Problem {
    pub(super) fn new(status: StatusCode, title: &str, detail: impl Into<String>) -> Self {
        Self { title: title.to_owned(), status: status.as_u16(), detail: detail.into(), at: None }
    }

    pub(super) fn revision_needed() -> Self {
        let detail = "name the revision that you changed, as the answer's ETag had it: If-Match: \"3\"";
        Self::new(StatusCode::PRECONDITION_REQUIRED, "Which revision?", detail)
    }

    pub(super) fn changed_meanwhile(found: u32) -> Self {
        let detail = format!(
            "it stands at revision {found} now; read it again, lay your change over it, and send that revision"
        );
        Self::new(StatusCode::PRECONDITION_FAILED, "Changed meanwhile", detail)
    }
}

impl From<WebError> for Problem {
    fn from(fault: WebError) -> Self {
        match fault {
            WebError::Store(StoreError::Conflict { found, .. }) => Self::changed_meanwhile(found),
            WebError::Field { key, .. } => {
                Self { at: Some(key), ..Self::new(fault.status(), fault.title(), fault.to_string()) }
            }
            other => Self::new(other.status(), other.title(), other.to_string()),
        }
    }
}

impl From<StoreError> for Problem {
    fn from(fault: StoreError) -> Self {
        WebError::from(fault).into()
    }
}

impl From<JsonRejection> for Problem {
    fn from(fault: JsonRejection) -> Self {
        Self::new(fault.status(), "The body does not read", fault.body_text())
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut answer = (status, Json(self)).into_response();
        answer.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static("application/problem+json"));
        if status == StatusCode::SERVICE_UNAVAILABLE {
            answer.headers_mut().insert(RETRY_AFTER, HeaderValue::from_static("2"));
        }
        answer
    }
}
