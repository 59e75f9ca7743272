// Package geompeer holds roof planes against a geometry library that shares no code with the project: areas of planes
// and panels, lengths along ribs. It is a module of its own, so that the other library is no dependency of this one.
package geompeer
