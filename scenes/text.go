package scenes

import (
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// mostBytes bounds a YAML file, mostDepth how deep its parts may lie in each other: what is read can come from anywhere, and a
// parser that calls itself must not be led astray.
const (
	mostBytes = 1 << 20
	mostDepth = 40
)

// node is a part of a YAML text with its place.
type node struct {
	kind    kind
	text    string // of a scalar
	plain   bool   // a scalar without quotes
	at      position
	entries []entry // of a mapping
	items   []*node // of a list
}

type kind int

const (
	nothing kind = iota
	scalar
	list
	mapping
)

type entry struct {
	key   string
	at    position
	value *node
}

// parse turns a text into its tree. It notes what is wrong and then returns nil.
func (s *source) parse(text []byte) (tree *node) {
	whole := spot{src: s}
	defer func() {
		if r := recover(); r != nil {
			whole.fault("is not YAML that can be read")
			tree = nil
		}
	}()
	if len(text) > mostBytes {
		whole.fault("is larger than 1 MiB; such a file is a short text")
		return nil
	}
	if !utf8.Valid(text) {
		whole.fault("is not UTF-8; save it as UTF-8")
		return nil
	}
	tokens := lexer.Tokenize(strings.TrimPrefix(string(text), "\ufeff"))
	if !s.bounded(tokens) {
		return nil
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		reason := err.Error()
		if e, ok := err.(yaml.Error); ok {
			reason = e.GetMessage()
			if t := e.GetToken(); t != nil && t.Position != nil {
				s.at[""] = position{t.Position.Line, t.Position.Column}
			}
		}
		if strings.Contains(reason, "mapping value is not allowed") {
			reason += " (a text with a colon and a blank in it needs quotes)"
		}
		whole.fault("is not YAML: %s", reason)
		return nil
	}
	var body ast.Node
	for _, d := range file.Docs {
		if d.Body == nil {
			continue
		}
		if body != nil {
			s.at[""] = position{d.Body.GetToken().Position.Line, 1}
			whole.fault("holds a second document; keep one in a file")
			return nil
		}
		body = d.Body
	}
	if body == nil {
		whole.fault("is empty")
		return nil
	}
	before := len(s.errors.Faults)
	tree = s.convert(body, "")
	if len(s.errors.Faults) > before {
		return nil
	}
	return tree
}

// bounded refuses what lies too deep, and anchors, which such a file has no use for and which can blow up a small one.
func (s *source) bounded(tokens token.Tokens) bool {
	refuse := func(t *token.Token, reason string) bool {
		s.at[""] = position{t.Position.Line, t.Position.Column}
		spot{src: s}.fault("%s", reason)
		return false
	}
	depth := 0
	for _, t := range tokens {
		switch t.Type {
		case token.AnchorType, token.AliasType, token.MergeKeyType:
			return refuse(t, "anchors, aliases and merge keys are not taken; write the values out, or name a file")
		case token.TagType:
			return refuse(t, "tags are not taken; write the value without")
		case token.MappingKeyType:
			return refuse(t, "a key is written before a colon, without a question mark")
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		case token.SequenceEntryType, token.MappingValueType:
			// Every level of a block stands at least a column further right.
			if depth == 0 && t.Position.Column > 20*mostDepth {
				return refuse(t, "lies too deep in other parts")
			}
		}
		if depth > mostDepth {
			return refuse(t, "lies too deep in other parts")
		}
	}
	return true
}

func positionOf(n ast.Node) position {
	switch v := n.(type) {
	case *ast.MappingNode:
		if !v.IsFlowStyle && len(v.Values) > 0 {
			return positionOf(v.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return positionOf(v.Key)
	}
	if t := n.GetToken(); t != nil && t.Position != nil {
		return position{t.Position.Line, t.Position.Column}
	}
	return position{}
}

func (s *source) convert(n ast.Node, path string) *node {
	here := spot{s, path}
	out := &node{at: positionOf(n)}
	s.at[path] = out.at
	switch v := n.(type) {
	case *ast.NullNode:
	case *ast.StringNode:
		out.kind, out.text = scalar, v.Value
		out.plain = v.Token.Type == token.StringType
	case *ast.LiteralNode:
		out.kind, out.text = scalar, v.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		out.kind, out.text, out.plain = scalar, n.GetToken().Value, true
	case *ast.SequenceNode:
		out.kind = list
		for i, item := range v.Values {
			out.items = append(out.items, s.convert(item, here.nth(i).path))
		}
	case *ast.MappingValueNode:
		out.kind = mapping
		s.enter(out, v, here)
	case *ast.MappingNode:
		out.kind = mapping
		for _, item := range v.Values {
			s.enter(out, item, here)
		}
	default:
		here.fault("is nothing that such a file takes")
	}
	return out
}

func (s *source) enter(out *node, v *ast.MappingValueNode, here spot) {
	key := v.Key.GetToken().Value
	if k, ok := v.Key.(*ast.StringNode); ok {
		key = k.Value
	}
	e := entry{key: key, at: positionOf(v.Key)}
	for _, old := range out.entries {
		if old.key == key {
			p := here.in(key)
			s.at[p.path] = e.at
			p.fault("is given a second time; the first is in line %d", old.at.line)
			return
		}
	}
	e.value = s.convert(v.Value, here.in(key).path)
	if e.value.kind == nothing {
		s.at[here.in(key).path] = e.at
	}
	out.entries = append(out.entries, e)
}
