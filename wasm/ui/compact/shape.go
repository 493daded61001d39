package main

import (
	"go/ast"
	"go/token"
	"strconv"
)

// nodeLiteral recognises vgn = &vugu.VGNode{...}.
func nodeLiteral(s ast.Stmt) (*ast.CompositeLit, bool) {
	a, ok := s.(*ast.AssignStmt)
	if !ok || a.Tok != token.ASSIGN || len(a.Rhs) != 1 || !isIdent(a.Lhs[0], "vgn") {
		return nil, false
	}
	u, ok := a.Rhs[0].(*ast.UnaryExpr)
	if !ok || u.Op != token.AND {
		return nil, false
	}
	lit, ok := u.X.(*ast.CompositeLit)
	if !ok || field(lit, "Type") == nil {
		return nil, false
	}
	return lit, true
}

// hangs recognises vgparent.AppendChild(vgn) and returns the parent.
func hangs(s ast.Stmt) (ast.Expr, bool) {
	e, ok := s.(*ast.ExprStmt)
	if !ok {
		return nil, false
	}
	c, ok := e.X.(*ast.CallExpr)
	if !ok {
		return nil, false
	}
	sel, ok := c.Fun.(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != "AppendChild" || !isIdent(c.Args[0], "vgn") {
		return nil, false
	}
	return sel.X, true
}

// componentBlock recognises the block that makes or finds a component's
// instance, and returns its position hash and type.
func componentBlock(b *ast.BlockStmt) (hash ast.Expr, typ ast.Expr, ok bool) {
	if len(b.List) < 6 {
		return nil, nil, false
	}
	key, ok := b.List[0].(*ast.AssignStmt)
	if !ok || !isIdent(key.Lhs[0], "vgcompKey") {
		return nil, nil, false
	}
	found, ok := b.List[1].(*ast.AssignStmt)
	if !ok || !isIdent(found.Lhs[0], "vgcomp") {
		return nil, nil, false
	}
	assertion, ok := found.Rhs[0].(*ast.TypeAssertExpr)
	if !ok {
		return nil, nil, false
	}
	star, ok := assertion.Type.(*ast.StarExpr)
	if !ok {
		return nil, nil, false
	}
	return key.Rhs[0].(*ast.CallExpr).Args[0].(*ast.BinaryExpr).X, star.X, true
}

// component compacts such a block: instance finds or makes the component,
// child hangs it into the tree; what is set between stays.
func component(hash, typ ast.Expr, list []ast.Stmt) []ast.Stmt {
	const before, after = 4, 3 // key, cached, new, used ... collected, node, appended
	made := &ast.CallExpr{
		Fun:  &ast.IndexExpr{X: ast.NewIdent("instance"), Index: typ},
		Args: []ast.Expr{ast.NewIdent("vgin"), hash, ast.NewIdent("vgiterkey")},
	}
	out := []ast.Stmt{&ast.AssignStmt{Lhs: []ast.Expr{ast.NewIdent("vgcomp")}, Tok: token.DEFINE, Rhs: []ast.Expr{made}}}
	out = append(out, list[before:len(list)-after]...)
	parent, ok := hangs(list[len(list)-1])
	if !ok {
		parent = ast.NewIdent("nil")
	}
	hung := call("child", ast.NewIdent("vgout"), parent, ast.NewIdent("vgcomp"))
	if ok {
		return append(out, &ast.ExprStmt{X: hung}) // nothing is done with the node of a component
	}
	return append(out, &ast.AssignStmt{Lhs: []ast.Expr{ast.NewIdent("vgn")}, Tok: token.ASSIGN, Rhs: []ast.Expr{hung}})
}

func field(lit *ast.CompositeLit, name string) ast.Expr {
	for _, e := range lit.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok && isIdent(kv.Key, name) {
			return kv.Value
		}
	}
	return nil
}

func isIdent(e ast.Expr, name string) bool {
	id, ok := e.(*ast.Ident)
	return ok && id.Name == name
}

// typeOf returns the number in Type: vugu.VGNodeType(n).
func typeOf(node *ast.CompositeLit) string {
	if c, ok := field(node, "Type").(*ast.CallExpr); ok && len(c.Args) == 1 {
		if lit, ok := c.Args[0].(*ast.BasicLit); ok {
			return lit.Value
		}
	}
	return ""
}

func stringOf(e ast.Expr) string {
	if lit, ok := e.(*ast.BasicLit); ok {
		if s, err := strconv.Unquote(lit.Value); err == nil {
			return s
		}
	}
	return ""
}

// sameIdent recognises x := x.
func sameIdent(left, right []ast.Expr) bool {
	if len(left) != 1 || len(right) != 1 {
		return false
	}
	id, ok := left[0].(*ast.Ident)
	return ok && isIdent(right[0], id.Name)
}
