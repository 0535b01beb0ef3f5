//! Properties of steam, water, sea water, distillate and dissolved gas, one file per property or law.
