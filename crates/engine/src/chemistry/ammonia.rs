//! placeholder, replaced at merge
