//! The same server for programs: pieces, shops, plans and logs as JSON under `/api`, described at `/api/openapi.json`.
//!
//! * `types`: what is sent and answered, with its schema. A piece and a shop are their files' own types.
//! * `routes`: what each address answers. A change names the revision it was made on, as `If-Match`.
//! * `text`: JSON into the file that the store keeps, and back.
//! * `problem`: a refusal as RFC 9457 has it.
//! * `describe`: the OpenAPI description, from the same types.

mod describe;
mod problem;
mod routes;
mod stock;
mod text;
mod types;

pub(crate) use routes::routes;
