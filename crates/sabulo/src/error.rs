//! What can go wrong at the edge, in words that name the file, the place and the mend.

use std::path::PathBuf;

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub(crate) enum Failure {
    #[error("{}: cannot be read ({fault}); give the path of a file that exists", .path.display())]
    Read { path: PathBuf, fault: std::io::Error },
    #[error("{}: is {megabytes} MB; a file of more than {most} MB is not read", .path.display())]
    TooLarge { path: PathBuf, megabytes: u64, most: u64 },
    #[error("{}: is not UTF-8 text; save it as UTF-8", .path.display())]
    NotText { path: PathBuf },
    #[error("{}: no shop.toml beside it or in the folder above; name one with --shop FILE", .piece.display())]
    NoShop { piece: PathBuf },
    #[error("{0}")]
    Complaints(#[from] piece::Complaints),
    #[error("{}: {fault}", .path.display())]
    Artwork { path: PathBuf, fault: artwork::load::LoadError },
    #[error("give a drawing to look at, or `batch` with a template and a table of names")]
    NoArtwork,
    #[error("{}: give a name that ends in .svg or .png", .path.display())]
    UnknownPicture { path: PathBuf },
    #[error("{0}")]
    Batch(Box<artwork::batch::BatchError>),
    #[error("--fit {given}: write a column and a width, such as name=60mm")]
    Fit { given: String },
    #[error("--size: a drawing of no width; give one above zero")]
    NoSize,
    #[error("{}: {fault}", .path.display())]
    Class { path: PathBuf, fault: Box<plan::ClassRunError> },
    #[error("{0}")]
    Order(Box<batch::OrderError>),
    #[error("quote: {0}")]
    Quote(#[from] cost::QuoteError),
    #[error("{name}: {fault}")]
    Sheet { name: &'static str, fault: paper::PaperError },
    #[error("table: {0}")]
    Csv(#[from] csv::Error),
    #[error("{0}")]
    Unknown(Box<reference::Unknown>),
    #[error("the picture cannot be made: {0}")]
    Raster(#[from] picture::raster::RasterError),
    #[error("{}: {fault}", .path.display())]
    Refused { path: PathBuf, fault: Box<plan::Refusal> },
    #[error("stencil: {0}")]
    Layers(#[from] plan::StencilFault),
    #[error("{name}: {fault}")]
    Bundle { name: String, fault: Box<stencil::bundle::BundleFault> },
    #[error("stencil: {0}")]
    Tile(#[from] stencil::cut::tiles::TileError),
    #[error("vessel: {0}")]
    Vessel(#[from] stencil::vessel::VesselError),
    #[error("exposure: {0}")]
    Exposure(#[from] stencil::exposure::ExposureError),
    #[error("halftone: {0}")]
    Film(#[from] stencil::film::tiff::TiffFault),
    #[error("film PDF: {0}")]
    FilmPdf(Box<stencil::film::pdf::PdfMismatch>),
    #[error("{name}: {fault}")]
    Tone { name: &'static str, fault: stencil::halftone::tone::CurveError },
    #[error("lettering: {0}")]
    Lettering(#[from] artwork::text::TextError),
    #[error("{name} \"{given}\" is not {wanted}")]
    Form { name: &'static str, given: String, wanted: &'static str },
    #[error("{}, line {line}: write {wanted}", .path.display())]
    Line { path: PathBuf, line: usize, wanted: &'static str },
    #[error("{name} is needed: {mend}")]
    Needed { name: &'static str, mend: &'static str },
    #[error("nothing is open in {}; give artwork with filled shapes", .path.display())]
    NothingDrawn { path: PathBuf },
    #[error("stencil: {0}")]
    Mismatch(Box<stencil::verify::Mismatch>),
    #[error("nest: {0}")]
    Nest(#[from] stencil::nest::NestError),
    #[error("{}: {fault}", .path.display())]
    NestOutline { path: PathBuf, fault: stencil::nest::outline::OutlineError },
    #[error("{name} \"{given}\": give its length along and its width across, such as 600mm,300mm")]
    SheetSides { name: &'static str, given: String },
    #[error("preview.png: cannot be made ({0})")]
    Preview(#[from] picture::preview::PreviewError),
    #[error("job-sheet.pdf: {0}")]
    Paper(#[from] paper::PaperError),
    #[error("{}: cannot be written ({fault}); give a folder that you may write to with --out", .path.display())]
    Write { path: PathBuf, fault: std::io::Error },
    #[error("{name} \"{given}\": write a level and a time with an @ between them, such as 96dBA@2h or 400ug/m3@90min")]
    Span { name: &'static str, given: String },
    #[error("abrasive: {0}")]
    Refusal(Box<safety::refusal::Refusal>),
    #[error("--span: {0}")]
    Dust(#[from] safety::dust::DustError),
    #[error("LEVEL@TIME: {0}")]
    Noise(#[from] safety::noise::NoiseError),
    #[error("{0}")]
    Clearing(#[from] safety::clearing::ClearingError),
    #[error("{0}")]
    Plate(#[from] safety::plate::PlateError),
    #[error("--depth: nothing is left of the pane; give less than its thickness")]
    NoPane,
    #[error("nothing presses on the pane; give --wind, --load, --push or --flat")]
    NoLoad,
    #[error(
        "--material: no strength of {material} is known here: stone varies from block to block; ask for a test panel"
    )]
    NoStrength { material: String },
    #[error("no station is in the shop file; give --pressure, such as 40psi or 2.5bar")]
    NoPressure,
    #[error("--nozzle: the shop has no nozzle \"{given}\"; it has {known}")]
    NoNozzle { given: String, known: String },
    #[error("{}: names no file; give the path of one", .path.display())]
    NoFileName { path: PathBuf },
    #[error("{0}")]
    Size(Box<plan::sizing::WantedError>),
    #[error("{name}: {fault}")]
    Quantity { name: &'static str, fault: Box<quantity::ParseError> },
    #[error("air: {0}")]
    Air(Box<air::FlowError>),
    #[error(transparent)]
    Range(#[from] quantity::OutOfRange),
    #[error(
        "{name} \"{given}\" is not {wanted}; give {wanted} in millimetres from the blank's top left corner, such as 120,80"
    )]
    Coordinates { name: &'static str, wanted: &'static str, given: String },
    #[error("{}: a relief is written as .stl, .glb or .png; give a name that ends so", .path.display())]
    ReliefKind { path: PathBuf },
    #[error("--svg draws a section; give one with --section x1,y1,x2,y2")]
    NoSection,
    #[error("{name}: {fault}")]
    UnknownRow { name: &'static str, fault: Box<reference::Unknown> },
    #[error("{}: {fault}", .path.display())]
    Carving { path: PathBuf, fault: Box<plan::carving::CarvingError> },
    #[error("relief: {0}")]
    Relief(#[from] picture::relief::ReliefError),
    #[error("recipe: {0}")]
    Rate(#[from] plan::rate::RateError),
    #[error("depth: {0}")]
    Staging(#[from] carve::staging::StagingError),
    #[error("{}: {fault}", .path.display())]
    Coupons { path: PathBuf, fault: Box<plan::coupon_table::CouponComplaints> },
    #[error("{}: {fault}", .path.display())]
    Calibrate { path: PathBuf, fault: Box<plan::calibration::CalibrationError> },
    #[error("{depths} depths and {areas} areas; give one --area for each --depth, in the same order")]
    Areas { depths: usize, areas: usize },
    #[error("the pieces in {}: {fault}", .path.display())]
    Store { path: PathBuf, fault: Box<store::StoreError> },
    #[error("{}: is not there; give the file that the app names when it opens", .path.display())]
    NoStore { path: PathBuf },
    #[error("--piece \"{given}\": no one piece has this name; give the number of one of {known}")]
    NoPieceNamed { given: String, known: String },
    #[error("{}: {fault}", .path.display())]
    Archive { path: PathBuf, fault: Box<web::ArchiveFault> },
    #[error("cannot listen on port {port} ({fault}); give a free one with --port")]
    Listen { port: u16, fault: std::io::Error },
    #[error("--lan {address}: cannot listen there ({fault}); give an address of this computer")]
    ListenAt { address: std::net::SocketAddr, fault: std::io::Error },
    #[error(
        "--lan: this computer has no address on a private network; connect it, or name an address with --lan=ADDRESS"
    )]
    NoNetwork,
    #[error("the server stopped: {0}")]
    Serve(std::io::Error),
    #[error("cannot print: {0}")]
    Print(std::io::Error),
    #[error("JSON: {0}")]
    Json(#[from] serde_json::Error),
}

/// Large faults are boxed, so that a result stays small.
macro_rules! boxed {
    ($($variant:ident($fault:ty)),+) => {$(
        impl From<$fault> for Failure {
            fn from(fault: $fault) -> Self {
                Self::$variant(Box::new(fault))
            }
        }
    )+};
}
boxed!(
    Refusal(safety::refusal::Refusal),
    FilmPdf(stencil::film::pdf::PdfMismatch),
    Mismatch(stencil::verify::Mismatch),
    Air(air::FlowError),
    Size(plan::sizing::WantedError)
);
