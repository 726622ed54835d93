//! One integration binary; a module a subject.
