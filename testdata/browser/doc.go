// Package browser opens the demonstration's page in a headless Chromium: what is drawn where, what it prints like, and
// whether it can be used without a mouse. It is a module of its own, so that the driver is no dependency of the library.
package browser
