package document

// AsJSON is a document of any content as JSON, whichever syntax it is written in: for drafts, which may well be no request yet. It must be a
// group of fields. A fault is an *Error.
func AsJSON(data []byte, s Syntax) ([]byte, error) {
	t, fault := scan(data, s)
	if fault != nil {
		return nil, fault
	}
	defer t.free()
	root := &t.nodes[1]
	if root.kind != kindObject {
		return nil, malformed(FieldError{Line: int(root.line), Column: int(root.column), Detail: "the document must be a group of fields, not " + root.kind.String()})
	}
	return t.appendJSON(nil, root), nil
}
