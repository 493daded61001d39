//go:build !js

package browser

import _ "embed"

// Script is browser.js, for pages of tests.
//
//go:embed browser.js
var Script string
