package scenes

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"

	"holdfast/mechanics/trialsim"
)

// Scene is a scene that was read.
type Scene struct {
	trialsim.Scene
	// Files are the names of all files that were read, in their order.
	Files []string
	// Digest is the SHA-256 of all that was read: scenes with the same one are the same.
	Digest [sha256.Size]byte

	file sceneFile
}

// ReadScene reads a scene and the files that it names, whose paths are taken from its folder. Whatever is wrong gives [*Errors].
func ReadScene(files fs.FS, name string) (*Scene, error) {
	l := newLoader(files, name)
	s := &Scene{}
	if at, ok := l.read(name, reflect.ValueOf(&s.file).Elem()); ok {
		s.Scene = l.scene(&s.file, at)
	}
	if err := inOrder(l.errors); err != nil {
		return nil, err
	}
	s.Files, s.Digest = l.names, [sha256.Size]byte(l.digest.Sum(nil))
	return s, nil
}

// ReadHand reads a hand and the URDF file that it may name.
func ReadHand(files fs.FS, name string) (*trialsim.Hand, error) {
	return readPart(files, name, (*loader).hand)
}

// ReadItem reads an item and the mesh that it may name.
func ReadItem(files fs.FS, name string) (*trialsim.Item, error) {
	return readPart(files, name, (*loader).item)
}

// ReadSetting reads a setting.
func ReadSetting(files fs.FS, name string) (*trialsim.Setting, error) {
	return readPart(files, name, (*loader).setting)
}

// ReadStrategy reads a strategy.
func ReadStrategy(files fs.FS, name string) (*trialsim.Strategy, error) {
	return readPart(files, name, (*loader).strategy)
}

func readPart[F, T any](files fs.FS, name string, build func(*loader, *F, spot) T) (*T, error) {
	l := newLoader(files, name)
	var file F
	var value T
	if at, ok := l.read(name, reflect.ValueOf(&file).Elem()); ok {
		value = build(l, &file, at)
	}
	if err := inOrder(l.errors); err != nil {
		return nil, err
	}
	return &value, nil
}

// loader reads one file with all that it names.
type loader struct {
	files  fs.FS
	errors *Errors
	names  []string
	digest hasher
}

type hasher interface {
	io.Writer
	Sum([]byte) []byte
}

func newLoader(files fs.FS, name string) *loader {
	return &loader{files: files, errors: &Errors{File: name}, digest: sha256.New()}
}

// open reads the bytes of a file, at most a number of them; it notes at the spot that names it what is wrong.
func (l *loader) open(name string, most int64, at spot) (text []byte, ok bool) {
	if !fs.ValidPath(name) {
		at.fault("names %s, which lies outside of the folder that files are read from", quoted(name))
		return nil, false
	}
	f, err := l.files.Open(name)
	if err != nil {
		why := "can not be opened: " + err.Error()
		if errors.Is(err, fs.ErrNotExist) {
			why = "is not there"
		}
		at.fault("%s %s", quoted(name), why)
		return nil, false
	}
	defer f.Close()
	text, err = io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		at.fault("%s can not be read: %v", quoted(name), err)
		return nil, false
	}
	if int64(len(text)) > most {
		at.fault("%s is larger than %d MiB", quoted(name), most>>20)
		return nil, false
	}
	l.names = append(l.names, name)
	sum := sha256.Sum256(text)
	l.digest.Write(append([]byte(name+"\x00"), sum[:]...))
	return text, true
}

// read fills a format from the file of a name.
func (l *loader) read(name string, into reflect.Value) (at spot, ok bool) {
	src := &source{file: name, at: map[string]position{}, errors: l.errors}
	at = spot{src: src}
	text, ok := l.open(name, mostBytes, at)
	if !ok {
		return at, false
	}
	return at, src.fill(text, into)
}

// fill parses and decodes a text; false if it has faults.
func (s *source) fill(text []byte, into reflect.Value) bool {
	before := len(s.errors.Faults)
	tree := s.parse(text)
	if tree != nil {
		s.decode(tree, into, &field{}, spot{src: s})
	}
	return len(s.errors.Faults) == before
}

// check notes what a value's own check has against it, unless faults were noted before, from which it would only follow.
func (l *loader) check(at spot, check func() error) {
	if len(l.errors.Faults) > 0 {
		return
	}
	if err := check(); err != nil {
		at.fault("%v", err)
	}
}

// beside is the path of what a file names, seen from the root of the files.
func beside(file, named string) string { return path.Join(path.Dir(file), named) }

// partOf gives a part of a scene, read from its own file if it has one.
func partOf[F, T any](l *loader, p *part[F], at spot, build func(*loader, *F, spot) T) (value T) {
	if p.Here != nil {
		return build(l, p.Here, at)
	}
	var file F
	name := beside(at.src.file, p.File)
	if strings.HasPrefix(p.File, "/") {
		at.fault("%s must be a path from the folder of this file", quoted(p.File))
		return value
	}
	src := &source{file: name, at: map[string]position{}, errors: l.errors}
	text, ok := l.open(name, mostBytes, at)
	if !ok || !src.fill(text, reflect.ValueOf(&file).Elem()) {
		return value
	}
	value = build(l, &file, spot{src: src})
	// What the scene's file says is now complete in itself.
	p.File, p.Here = "", &file
	if m, ok := any(&file).(interface{ moved(from, to string) }); ok {
		m.moved(name, at.src.file)
	}
	return value
}

func (l *loader) scene(f *sceneFile, at spot) (s trialsim.Scene) {
	s.Name, s.Gravity, s.Closing = f.Name, 9.81, 1
	s.Hand = partOf(l, &f.Hand, at.in("hand"), (*loader).hand)
	s.Item = partOf(l, &f.Item, at.in("item"), (*loader).item)
	s.Setting = partOf(l, &f.Setting, at.in("setting"), (*loader).setting)
	s.Strategy = partOf(l, &f.Strategy, at.in("strategy"), (*loader).strategy)
	if f.Gravity != nil {
		s.Gravity = *f.Gravity
	}
	if f.Closing != nil {
		s.Closing = *f.Closing
	}
	if e := f.Error; e != nil {
		s.Error = trialsim.PlacementError{X: milli(e.X), Y: milli(e.Y), Angle: radians(e.Angle)}
	}
	l.check(at, s.Check)
	return s
}

// Whole returns the scene as one YAML text that names no other YAML file. Meshes and URDF files stay where they are; their paths
// are written from the folder of the scene's file.
func (s *Scene) Whole() []byte { return encode(reflect.ValueOf(&s.file).Elem()) }

// from is the path of a file as seen from the folder of another; both are seen from the root.
func from(folder, name string) string {
	if folder == "." {
		return name
	}
	a, b := strings.Split(folder, "/"), strings.Split(name, "/")
	same := 0
	for same < len(a) && same < len(b)-1 && a[same] == b[same] {
		same++
	}
	return strings.Repeat("../", len(a)-same) + strings.Join(b[same:], "/")
}

func (f *handFile) moved(old, now string) {
	if f.URDF != nil {
		f.URDF.File = from(path.Dir(now), beside(old, f.URDF.File))
	}
}

func (f *itemFile) moved(old, now string) {
	if f.Shape.Mesh != nil {
		f.Shape.Mesh.File = from(path.Dir(now), beside(old, f.Shape.Mesh.File))
	}
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
