package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"strconv"
	"strings"
)

// separator stands between the parts of a packed element; see el in package
// ui. No template may contain it.
const separator = "\x1f"

// body compacts a block and the blocks in it.
func body(b *ast.BlockStmt) error {
	var out []ast.Stmt
	list := b.List
	for i := 0; i < len(list); i++ {
		st, taken, err := one(list[i:])
		if err != nil {
			return err
		}
		out = append(out, st...)
		i += taken - 1
	}
	b.List = out
	dropUnread(b)
	dropIteratorKey(b)
	return nil
}

// one compacts the statement at the head of list; it returns what takes its
// place and how many statements it stands for.
func one(list []ast.Stmt) (put []ast.Stmt, taken int, err error) {
	if node, ok := nodeLiteral(list[0]); ok && len(list) > 1 {
		return element(node, list)
	}
	switch s := list[0].(type) {
	case *ast.BlockStmt:
		if key, typ, ok := componentBlock(s); ok {
			s.List = component(key, typ, s.List)
			return []ast.Stmt{s}, 1, nil
		}
		if call, ok := property(s); ok {
			return []ast.Stmt{call}, 1, nil
		}
		if err := body(s); err != nil {
			return nil, 0, err
		}
		return soleText(s), 1, nil
	case *ast.IfStmt:
		err = branches(s)
	case *ast.ForStmt:
		err = body(s.Body)
	case *ast.RangeStmt:
		err = body(s.Body)
	case *ast.AssignStmt:
		if s.Tok == token.DEFINE && sameIdent(s.Lhs, s.Rhs) {
			return nil, 1, nil // a loop's variable is its own in every turn
		}
		if call, ok := handler(s); ok {
			return []ast.Stmt{call}, 1, nil
		}
	}
	return []ast.Stmt{list[0]}, 1, err
}

func branches(s *ast.IfStmt) error {
	if err := body(s.Body); err != nil {
		return err
	}
	switch e := s.Else.(type) {
	case *ast.BlockStmt:
		return body(e)
	case *ast.IfStmt:
		return branches(e)
	}
	return nil
}

// element compacts a node and the statement that hangs it into the tree.
func element(node *ast.CompositeLit, list []ast.Stmt) ([]ast.Stmt, int, error) {
	parent, hung := hangs(list[1])
	if typeOf(node) == "1" { // text
		data := stringOf(field(node, "Data"))
		if !hung {
			return nil, 0, fmt.Errorf("text %q without a parent", data)
		}
		if strings.TrimSpace(data) == "" && strings.Contains(data, "\n") && !betweenText(list) {
			return nil, 2, nil
		}
		return []ast.Stmt{&ast.ExprStmt{X: call("text", parent, quote(data))}}, 2, nil
	}
	if typeOf(node) != "3" {
		return list[:1], 1, nil
	}
	packed, err := pack(node)
	if err != nil {
		return nil, 0, err
	}
	taken := 2
	if !hung { // the root of the component: the next statement stays
		parent, taken = ast.NewIdent("nil"), 1
	}
	made := call("el", parent, quote(packed))
	return []ast.Stmt{&ast.AssignStmt{Lhs: []ast.Expr{ast.NewIdent("vgn")}, Tok: token.ASSIGN, Rhs: []ast.Expr{made}}}, taken, nil
}

// pack writes tag, namespace and constant attributes as one string.
func pack(node *ast.CompositeLit) (string, error) {
	parts := []string{stringOf(field(node, "Data")), stringOf(field(node, "Namespace"))}
	if attrs, ok := field(node, "Attr").(*ast.CompositeLit); ok {
		for _, a := range attrs.Elts {
			lit := a.(*ast.CompositeLit)
			if stringOf(field(lit, "Namespace")) != "" {
				return "", fmt.Errorf("attribute %s has a namespace", stringOf(field(lit, "Key")))
			}
			parts = append(parts, stringOf(field(lit, "Key")), stringOf(field(lit, "Val")))
		}
	}
	for _, p := range parts {
		if strings.Contains(p, separator) {
			return "", fmt.Errorf("%q contains the separator", p)
		}
	}
	return strings.Join(parts, separator), nil
}

// betweenText says whether white space is followed by a text of running words
// (white space before elements is the page's business: the style sheet's gaps).
func betweenText(list []ast.Stmt) bool {
	if len(list) < 4 {
		return false
	}
	next, ok := nodeLiteral(list[2])
	return ok && typeOf(next) == "1"
}

// soleText turns a block that only adds one text into a call on the element.
func soleText(b *ast.BlockStmt) []ast.Stmt {
	const opening = 2 // vgparent := vgn; _ = vgparent
	switch {
	case len(b.List) == opening:
		return nil
	case len(b.List) == opening+1:
		if e, ok := b.List[opening].(*ast.ExprStmt); ok {
			if c, ok := e.X.(*ast.CallExpr); ok && c.Fun.(*ast.Ident).Name == "text" {
				return []ast.Stmt{&ast.ExprStmt{X: call("text", ast.NewIdent("vgn"), c.Args[1])}}
			}
		}
	}
	return []ast.Stmt{b}
}

// handler compacts vgn.DOMEventHandlerSpecList = append(...).
func handler(s *ast.AssignStmt) (ast.Stmt, bool) {
	sel, ok := s.Lhs[0].(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != "DOMEventHandlerSpecList" {
		return nil, false
	}
	spec := s.Rhs[0].(*ast.CallExpr).Args[1].(*ast.CompositeLit)
	return &ast.ExprStmt{X: call("on", sel.X, field(spec, "EventType"), field(spec, "Func"))}, true
}

// property compacts the block that appends to vgn.Prop: b, err := vjson.Marshal(x),
// panic of err, append.
func property(b *ast.BlockStmt) (ast.Stmt, bool) {
	if len(b.List) != 3 {
		return nil, false
	}
	made, ok := b.List[0].(*ast.AssignStmt)
	if !ok || len(made.Rhs) != 1 {
		return nil, false
	}
	marshal, ok := made.Rhs[0].(*ast.CallExpr)
	if !ok || len(marshal.Args) != 1 {
		return nil, false
	}
	sel, ok := marshal.Fun.(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != "Marshal" || !isIdent(sel.X, "vjson") {
		return nil, false
	}
	put, ok := b.List[2].(*ast.AssignStmt)
	if !ok || len(put.Rhs) != 1 {
		return nil, false
	}
	lit := put.Rhs[0].(*ast.CallExpr).Args[1].(*ast.CompositeLit)
	return &ast.ExprStmt{X: call("prop", put.Lhs[0].(*ast.SelectorExpr).X, field(lit, "Key"), marshal.Args[0])}, true
}

// dropUnread turns vgn = el(...) into the call alone where nothing follows that
// reads the element. What does follows at once.
func dropUnread(b *ast.BlockStmt) {
	for i, s := range b.List {
		a, ok := s.(*ast.AssignStmt)
		if !ok || a.Tok != token.ASSIGN || !isIdent(a.Lhs[0], "vgn") {
			continue
		}
		if i+1 < len(b.List) && reads(b.List[i+1]) {
			continue
		}
		b.List[i] = &ast.ExprStmt{X: a.Rhs[0]}
	}
}

// reads says whether a statement reads vgn before it sets it.
func reads(s ast.Stmt) bool {
	var in ast.Node = s
	if a, ok := s.(*ast.AssignStmt); ok && isIdent(a.Lhs[0], "vgn") {
		in = a.Rhs[0]
	}
	found := false
	ast.Inspect(in, func(n ast.Node) bool {
		id, ok := n.(*ast.Ident)
		found = found || ok && id.Name == "vgn"
		return !found
	})
	return found
}

// dropIteratorKey takes out the iteration key where nothing asks for it.
func dropIteratorKey(b *ast.BlockStmt) {
	uses := 0
	ast.Inspect(b, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && id.Name == "vgiterkey" {
			uses++
		}
		return true
	})
	if uses != 2 { // its declaration and the line that pretends to use it
		return
	}
	kept := b.List[:0]
	for _, s := range b.List {
		if d, ok := s.(*ast.DeclStmt); ok {
			v := d.Decl.(*ast.GenDecl).Specs[0].(*ast.ValueSpec)
			if v.Names[0].Name == "vgiterkey" {
				// a loop's key variable must still count as used
				if len(v.Values) == 1 {
					if id, ok := v.Values[0].(*ast.Ident); ok {
						kept = append(kept, blank(id))
					}
				}
				continue
			}
		}
		if a, ok := s.(*ast.AssignStmt); ok && len(a.Rhs) == 1 {
			if id, ok := a.Rhs[0].(*ast.Ident); ok && id.Name == "vgiterkey" {
				continue
			}
		}
		kept = append(kept, s)
	}
	b.List = kept
}

func blank(x ast.Expr) ast.Stmt {
	return &ast.AssignStmt{Lhs: []ast.Expr{ast.NewIdent("_")}, Tok: token.ASSIGN, Rhs: []ast.Expr{x}}
}

func call(name string, args ...ast.Expr) *ast.CallExpr {
	return &ast.CallExpr{Fun: ast.NewIdent(name), Args: args}
}

func quote(s string) ast.Expr {
	return &ast.BasicLit{Kind: token.STRING, Value: strconv.Quote(s)}
}
