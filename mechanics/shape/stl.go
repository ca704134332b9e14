package shape

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"holdfast/orient"
)

// mostFile bounds the size of a mesh file: the most triangles as STL text, written out long.
const mostFile = 256 << 20

// bounded reads all of a file that is not too long.
func bounded(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, mostFile+1))
	if err != nil {
		return nil, err
	}
	if len(data) > mostFile {
		return nil, fmt.Errorf("the file is longer than %d MB; make the mesh coarser", mostFile>>20)
	}
	return data, nil
}

// checkUnit says what is wrong with the length (m) of a file's unit.
func checkUnit(unit float64) error {
	if !(unit > 0) || math.IsInf(unit, 0) {
		return fmt.Errorf("a file's unit of %g m; it must be positive (0.001 for files in mm)", unit)
	}
	return nil
}

const (
	stlHeader = 80
	stlFacet  = 50
)

// ReadSTL reads a mesh from an STL file, binary or text. The format names no unit: unit is the length (m) of the file's. Facet
// normals are not used; the corners' order tells. Every triangle comes with corners of its own, which [NewPolyhedron] welds.
// Errors say the byte or the line.
func ReadSTL(r io.Reader, unit float64) (Mesh, error) {
	if err := checkUnit(unit); err != nil {
		return Mesh{}, err
	}
	data, err := bounded(r)
	if err != nil {
		return Mesh{}, err
	}
	// Binary files may begin with "solid" too; the length that the count says is surer.
	if len(data) >= stlHeader+4 {
		if n := binary.LittleEndian.Uint32(data[stlHeader:]); int64(len(data)) == stlHeader+4+stlFacet*int64(n) {
			return binarySTL(data[stlHeader+4:], int(n), unit)
		}
	}
	start := bytes.TrimLeft(data[:min(len(data), 1024)], " \t\r\n\ufeff")
	if bytes.HasPrefix(bytes.ToLower(start), []byte("solid")) && bytes.IndexByte(start, 0) < 0 {
		return textSTL(data, unit)
	}
	if len(data) < stlHeader+4 {
		return Mesh{}, fmt.Errorf("byte 0: %d bytes are neither STL text, which begins with \"solid\", nor long enough for a binary header of %d bytes", len(data), stlHeader+4)
	}
	n := binary.LittleEndian.Uint32(data[stlHeader:])
	return Mesh{}, fmt.Errorf("byte %d: the header counts %d triangles, which take %d bytes, and the file has %d; it may be cut off", stlHeader, n, stlHeader+4+stlFacet*int64(n), len(data))
}

func binarySTL(data []byte, n int, unit float64) (Mesh, error) {
	if n > MostTriangles {
		return Mesh{}, fmt.Errorf("byte %d: %d triangles; at most %d are taken: make the mesh coarser", stlHeader, n, MostTriangles)
	}
	mesh := Mesh{Vertices: make([]orient.Vec3, 0, 3*n), Triangles: make([][3]int32, 0, n)}
	for i := range n {
		facet := data[stlFacet*i:]
		for k := range 3 {
			var v orient.Vec3
			for j := range v {
				at := 12 + 12*k + 4*j
				x := float64(math.Float32frombits(binary.LittleEndian.Uint32(facet[at:])))
				if math.IsNaN(x) || math.IsInf(x, 0) {
					return Mesh{}, fmt.Errorf("byte %d: a coordinate of triangle %d is %g", stlHeader+4+stlFacet*i+at, i+1, x)
				}
				v[j] = x * unit
			}
			mesh.Vertices = append(mesh.Vertices, v)
		}
		mesh.Triangles = append(mesh.Triangles, [3]int32{int32(3 * i), int32(3*i + 1), int32(3*i + 2)})
	}
	return mesh, nil
}

// words are a text's words with the line of each.
type words struct {
	rest []byte
	line int
}

// next returns the next word in lower case, or nothing at the end.
func (w *words) next() string {
	for len(w.rest) > 0 {
		switch w.rest[0] {
		case '\n':
			w.line++
			fallthrough
		case ' ', '\t', '\r', '\v', '\f':
			w.rest = w.rest[1:]
			continue
		}
		break
	}
	end := bytes.IndexAny(w.rest, " \t\r\n\v\f")
	if end < 0 {
		end = len(w.rest)
	}
	word := strings.ToLower(string(w.rest[:end]))
	w.rest = w.rest[end:]
	return word
}

// skipLine leaves out what is left of the line: names may hold any words.
func (w *words) skipLine() {
	if end := bytes.IndexByte(w.rest, '\n'); end >= 0 {
		w.rest = w.rest[end:]
	} else {
		w.rest = nil
	}
}

// expect reads the words, one after the other.
func (w *words) expect(list ...string) error {
	for _, want := range list {
		if got := w.next(); got != want {
			return fmt.Errorf("line %d: %s where %q should be", w.line, quoted(got), want)
		}
	}
	return nil
}

func quoted(word string) string {
	if word == "" {
		return "the end of the file"
	}
	if len(word) > 40 {
		word = word[:40] + "…"
	}
	return strconv.Quote(word)
}

func textSTL(data []byte, unit float64) (Mesh, error) {
	w := &words{rest: bytes.TrimPrefix(data, []byte("\ufeff")), line: 1}
	var mesh Mesh
	open := false
	for {
		switch word := w.next(); word {
		case "":
			if open {
				return Mesh{}, fmt.Errorf("line %d: the file ends before \"endsolid\"", w.line)
			}
			if len(mesh.Triangles) == 0 {
				return Mesh{}, fmt.Errorf("line %d: the file holds no triangles", w.line)
			}
			return mesh, nil
		case "solid":
			if open {
				return Mesh{}, fmt.Errorf("line %d: \"solid\" within another one", w.line)
			}
			open = true
			w.skipLine()
		case "endsolid":
			if !open {
				return Mesh{}, fmt.Errorf("line %d: \"endsolid\" without a \"solid\"", w.line)
			}
			open = false
			w.skipLine()
		case "facet":
			if !open {
				return Mesh{}, fmt.Errorf("line %d: a facet outside of any \"solid\"", w.line)
			}
			if err := w.facet(&mesh, unit); err != nil {
				return Mesh{}, err
			}
		default:
			return Mesh{}, fmt.Errorf("line %d: %s where \"facet\" or \"endsolid\" should be", w.line, quoted(word))
		}
	}
}

// facet reads what follows the word.
func (w *words) facet(mesh *Mesh, unit float64) error {
	if len(mesh.Triangles) == MostTriangles {
		return fmt.Errorf("line %d: more than %d triangles; make the mesh coarser", w.line, MostTriangles)
	}
	if err := w.expect("normal"); err != nil {
		return err
	}
	for range 3 {
		// Exporters write anything here for triangles without area.
		if word := w.next(); word == "" {
			return fmt.Errorf("line %d: the file ends in a facet", w.line)
		}
	}
	if err := w.expect("outer", "loop"); err != nil {
		return err
	}
	var t [3]int32
	for k := range t {
		if err := w.expect("vertex"); err != nil {
			return err
		}
		var v orient.Vec3
		for j := range v {
			x, err := coordinate(w.next(), w.line)
			if err != nil {
				return err
			}
			v[j] = x * unit
		}
		t[k] = int32(len(mesh.Vertices))
		mesh.Vertices = append(mesh.Vertices, v)
	}
	mesh.Triangles = append(mesh.Triangles, t)
	return w.expect("endloop", "endfacet")
}

func coordinate(word string, line int) (float64, error) {
	x, err := strconv.ParseFloat(word, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("line %d: %s where a coordinate should be", line, quoted(word))
	}
	return x, nil
}
