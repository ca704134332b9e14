package shape

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"holdfast/orient"
)

// mostSides bounds the corners of a polygon in an OBJ file.
const mostSides = 256

// ReadOBJ reads a mesh from a Wavefront OBJ file: its vertices and polygons, which are cut into triangles; all else that may lie in
// such a file (normals, textures, materials, groups, lines, points) is passed over, but free-form curves and surfaces are refused.
// unit is the length (m) of the file's. Errors say the line.
func ReadOBJ(r io.Reader, unit float64) (Mesh, error) {
	if err := checkUnit(unit); err != nil {
		return Mesh{}, err
	}
	data, err := bounded(r)
	if err != nil {
		return Mesh{}, err
	}
	var mesh Mesh
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	for line := 1; len(data) > 0; {
		first := line
		var text []byte
		// A backslash at the end takes the next line along.
		for more := true; more && len(data) > 0; line++ {
			end := bytes.IndexByte(data, '\n')
			part := data
			if end >= 0 {
				part, data = data[:end], data[end+1:]
			} else {
				data = nil
			}
			part = bytes.TrimRight(part, "\r")
			part, more = bytes.CutSuffix(part, []byte("\\"))
			text = append(append(text, part...), ' ')
		}
		if at := bytes.IndexByte(text, '#'); at >= 0 {
			text = text[:at]
		}
		fields := strings.Fields(string(text))
		if len(fields) == 0 {
			continue
		}
		switch fields[0] {
		case "v":
			if len(fields) < 4 {
				return Mesh{}, fmt.Errorf("line %d: a vertex has three coordinates, not %d", first, len(fields)-1)
			}
			var v orient.Vec3
			for j := range v {
				x, err := coordinate(fields[1+j], first)
				if err != nil {
					return Mesh{}, err
				}
				v[j] = x * unit
			}
			if len(mesh.Vertices) == 3*MostTriangles {
				return Mesh{}, fmt.Errorf("line %d: more than %d vertices; make the mesh coarser", first, 3*MostTriangles)
			}
			mesh.Vertices = append(mesh.Vertices, v)
		case "f":
			if err := mesh.polygon(fields[1:], first); err != nil {
				return Mesh{}, err
			}
		case "vn", "vt", "g", "o", "s", "l", "p", "mtllib", "usemtl", "usemap", "maplib", "bevel", "c_interp", "d_interp", "lod", "shadow_obj", "trace_obj", "mg":
		case "vp", "cstype", "deg", "bmat", "step", "curv", "curv2", "surf", "parm", "trim", "hole", "scrv", "sp", "end", "con", "ctech", "stech":
			return Mesh{}, fmt.Errorf("line %d: %q belongs to free-form curves and surfaces; write the file as polygons", first, fields[0])
		default:
			return Mesh{}, fmt.Errorf("line %d: %s is nothing that an OBJ file says", first, quoted(fields[0]))
		}
	}
	if len(mesh.Triangles) == 0 {
		return Mesh{}, fmt.Errorf("line 1: the file holds no polygons")
	}
	return mesh, nil
}

// polygon adds the triangles of one whose corners are given as vertex, vertex/texture/normal and so on, counted from 1 or, with a
// minus, back from the last.
func (m *Mesh) polygon(fields []string, line int) error {
	if len(fields) < 3 || len(fields) > mostSides {
		return fmt.Errorf("line %d: a polygon of %d corners; it has from 3 to %d", line, len(fields), mostSides)
	}
	corners := make([]int32, len(fields))
	for k, f := range fields {
		word, _, _ := strings.Cut(f, "/")
		i, err := strconv.Atoi(word)
		if err != nil {
			return fmt.Errorf("line %d: %s where a vertex' number should be", line, quoted(f))
		}
		if i < 0 {
			i += len(m.Vertices) + 1
		}
		if i < 1 || i > len(m.Vertices) {
			return fmt.Errorf("line %d: vertex %s, and there are %d so far", line, word, len(m.Vertices))
		}
		corners[k] = int32(i - 1)
	}
	if len(m.Triangles)+len(corners)-2 > MostTriangles {
		return fmt.Errorf("line %d: more than %d triangles; make the mesh coarser", line, MostTriangles)
	}
	m.Triangles = append(m.Triangles, m.cut(corners)...)
	return nil
}

// cut returns the triangles of a polygon, which may have corners that point inward: ear by ear, an ear being a corner that points
// outward and whose triangle holds no other corner.
func (m *Mesh) cut(corners []int32) (triangles [][3]int32) {
	// The polygon's normal, by M. E. Newell's sum.
	var normal orient.Vec3
	for k, i := range corners {
		normal = normal.Add(m.Vertices[i].Cross(m.Vertices[corners[(k+1)%len(corners)]]))
	}
	side := func(a, b, c int32) float64 {
		return normal.Dot(sub(m.Vertices[b], m.Vertices[a]).Cross(sub(m.Vertices[c], m.Vertices[a])))
	}
	left := append([]int32(nil), corners...)
	for len(left) > 3 {
		ear := -1
		for k := range left {
			a, b, c := left[(k+len(left)-1)%len(left)], left[k], left[(k+1)%len(left)]
			if side(a, b, c) <= 0 {
				continue
			}
			free := true
			for _, o := range left {
				if o != a && o != b && o != c && side(a, b, o) >= 0 && side(b, c, o) >= 0 && side(c, a, o) >= 0 {
					free = false
					break
				}
			}
			if free {
				ear = k
				break
			}
		}
		if ear < 0 {
			ear = 1 // Without an ear it is flat or crosses itself: a fan is as good.
		}
		n := len(left)
		triangles = append(triangles, [3]int32{left[(ear+n-1)%n], left[ear], left[(ear+1)%n]})
		left = append(left[:ear], left[ear+1:]...)
	}
	return append(triangles, [3]int32{left[0], left[1], left[2]})
}
