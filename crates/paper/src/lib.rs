//! Documents on paper: a plan in, the bytes of a PDF out.
//!
//! A document goes through four steps, each from one type to the next.
//!
//! 1. `words`: text with its styles, as runs. A unit after a narrow no-break space is dimmed.
//! 2. `lettering` and `wrap`: runs into lines, measured with the shaper that later sets them.
//! 3. `frame`, `stack` and `table`: lines, marks and pictures into frames, boxes in millimetres that know
//!    their height and what they are (heading, paragraph, table cell). Nothing is drawn yet, so a
//!    layout can be tried, measured and given up.
//! 4. `writer` and `drawing`: pages of frames into a tagged PDF with subset fonts.
//!
//! `job_sheet` lays out a piece's job sheet and decides how it shrinks and continues; `stencil_sheet` its layers in the
//! order of weeding. `quote`, `class_pack`, `shop_spec`, `card`, `calibration` and `labels` share `page`: margins, flow, footer.
//!
//! Comes in resolved: the plan, the preview as an encoded picture, the date. Not here: what a plan
//! says in words (`plan::words`), the run strip (`picture::run_strip`), clocks and files.

mod calibration;
mod card;
mod class_pack;
mod drawing;
mod error;
mod frame;
mod job_sheet;
mod labels;
mod lettering;
mod marks;
mod page;
mod photo;
mod quote;
mod sheet;
mod shop_spec;
mod stack;
mod stencil_sheet;
mod table;
mod words;
mod wrap;
mod writer;

pub use calibration::calibration_sheet;
pub use card::cabinet_card;
pub use class_pack::{ClassPack, class_pack};
pub use error::PaperError;
pub use job_sheet::{JobSheetOptions, job_sheet};
pub use labels::{Label, label_sheet};
pub use quote::{QuoteOptions, quote_sheet};
pub use sheet::{Date, Sheet};
pub use shop_spec::{ShopSpec, shop_spec};
pub use stencil_sheet::{SheetLayer, stencil_sheet};
