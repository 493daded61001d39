package render

import "strings"

// svgNames are SVG's element names with capitals. The template parser lowers
// the names of a component's root, since it can't know that the component will
// stand inside <svg>. Source: HTML Standard, 13.2.6.5 "The rules for parsing
// tokens in foreign content".
const svgNames = "altGlyph altGlyphDef altGlyphItem animateColor animateMotion animateTransform clipPath " +
	"feBlend feColorMatrix feComponentTransfer feComposite feConvolveMatrix feDiffuseLighting " +
	"feDisplacementMap feDistantLight feDropShadow feFlood feFuncA feFuncB feFuncG feFuncR " +
	"feGaussianBlur feImage feMerge feMergeNode feMorphology feOffset fePointLight " +
	"feSpecularLighting feSpotLight feTile feTurbulence foreignObject glyphRef " +
	"linearGradient radialGradient textPath "

// svgTag gives a lowered SVG name its capitals back.
func svgTag(tag string) string {
	if len(tag) < 6 { // none with capitals is shorter
		return tag
	}
	low := strings.ToLower(tag)
	rest := svgNames
	for rest != "" {
		name, more, _ := strings.Cut(rest, " ")
		if len(name) == len(low) && strings.EqualFold(name, low) {
			return name
		}
		rest = more
	}
	return tag
}
