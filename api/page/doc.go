// Package page makes the HTML pages: what they say (by the catalogue of words), how they look (one style sheet), and
// what they show of an answer. A page is a view of a document of the contract; nothing is worked out here. Pages work without
// their scripts, which make them quicker, never possible.
package page
