//! The evaporating plant at rest: plant sheet, components, the steady solution, its limits and its band.
