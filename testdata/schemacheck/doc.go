// Package schemacheck holds the project's JSON files against its published schemas by a validator that shares no code
// with it. It is a module of its own, so that the validator is no dependency of the library.
package schemacheck
