//! The pages, one folder each: `routes()` joins what each page answers on.

use axum::Router;

use crate::app::App;

/// The addresses of every page.
pub fn routes() -> Router<App> {
    Router::new()
}
