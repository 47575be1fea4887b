//! The same server for programs: pieces, shops, plans and logs as JSON under `/api`, described at `/api/openapi.json`.
//!
//! * `types`: what is sent and answered, with its schema. A piece and a shop are their files' own types.
//! * `entries`, `orders`, `coupons`, `shelf`: the same for a ledger, orders of names, what a log teaches, the list. Each
//!   goes through the function that the page's form goes through.
//! * `routes`: what each address answers. A change names the revision it was made on, as `If-Match`.
//! * `text`: JSON into the file that the store keeps, and back.
//! * `problem`: a refusal as RFC 9457 has it.
//! * `describe`: the OpenAPI description, from the same types; `operations` lists what it describes.

mod coupons;
mod describe;
mod entries;
mod operations;
mod orders;
mod problem;
mod routes;
mod shelf;
mod stock;
mod text;
mod types;

pub(crate) use routes::routes;
