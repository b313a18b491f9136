//! Weighhouse from outside: one module per noun, each through the public API.

mod conformance;
mod openapi;
mod tidy;
