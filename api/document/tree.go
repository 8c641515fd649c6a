package document

import "sync"

// Limits of a document. The largest that makes sense is far below them.
const (
	MaxBytes     = 1 << 20  // longest document, bytes
	maxYAMLBytes = 96 << 10 // longest in YAML: its parser's time grows with the square of the lines
	maxNodes     = 20_000   // values in it; an alias counts as what it stands for
	maxDepth     = 24       // objects and arrays inside one another
)

type kind uint8

const (
	kindNull kind = iota
	kindBool
	kindNumber
	kindString
	kindArray
	kindObject
)

func (k kind) String() string {
	return [...]string{"null", "true or false", "a number", "text", "a list", "a group of fields"}[k]
}

// node is one value of a document. Children are a chain of siblings: first, then next of each.
type node struct {
	kind         kind
	plain        bool // an unquoted YAML scalar, which is text where text is wanted
	truth        bool // of a boolean
	line, column int32
	name         string // of an object's member
	nameLine     int32
	nameColumn   int32
	text         string // of a string; of a number as written
	first, next  int32  // indices into the tree; 0 is none
	count        int32  // children
}

// tree is a document. nodes[0] is nobody; nodes[1] is the root.
type tree struct {
	nodes []node
	most  int // how many it may have
}

// trees are kept for reuse: a tree is dropped as soon as it is bound.
var trees = sync.Pool{New: func() any { return &tree{nodes: make([]node, 0, 512)} }}

func newTree(most int) *tree {
	t := trees.Get().(*tree)
	t.most = most
	t.nodes = append(t.nodes[:0], node{})
	return t
}

// free gives a tree back. Nothing may point into it any more; texts are strings of their own.
func (t *tree) free() {
	if cap(t.nodes) > maxNodes+1 {
		return
	}
	clear(t.nodes)
	trees.Put(t)
}

// add appends a node and returns its index, or 0 when the document has too many.
func (t *tree) add(n node) int32 {
	if len(t.nodes) > t.most {
		return 0
	}
	t.nodes = append(t.nodes, n)
	return int32(len(t.nodes) - 1)
}

// chain hangs child behind last under parent.
func (t *tree) chain(parent, last, child int32) {
	if last == 0 {
		t.nodes[parent].first = child
	} else {
		t.nodes[last].next = child
	}
	t.nodes[parent].count++
}

// find follows a path as far as it exists and returns the last node on it, and whether it is the whole path.
func (t *tree) find(path []step) (index int32, whole bool) {
	at := int32(1)
	for _, s := range path {
		child := t.nodes[at].first
		for i := 0; child != 0; i++ {
			if n := &t.nodes[child]; n.name == s.name && (s.name != "" || i == s.index) {
				break
			}
			child = t.nodes[child].next
		}
		if child == 0 {
			return at, false
		}
		at = child
	}
	return at, true
}
