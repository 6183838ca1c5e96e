package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// picture is a photograph and the place from which its reference is cut.
type picture struct {
	name string
	path string // a pattern of filepath.Glob
	x, y int    // centre of the crop in the photograph's pixels; 0, 0: the middle
}

// wallpapers are the real photographs with fine detail among Debian's wallpaper packages:
// plasma-workspace-wallpapers and lomiri-wallpapers-16.04 and -20.04. Painted and rendered
// pictures, and photographs without anything sharp, are left out.
var wallpapers = []picture{
	{"bridge", "/usr/share/backgrounds/Bridge_by_*.jpg", 2124, 732},
	{"bird", "/usr/share/backgrounds/Kleiber_by_*.jpg", 2724, 1532},
	{"stream", "/usr/share/backgrounds/life_by_*.jpg", 1624, 1232},
	{"mountain", "/usr/share/backgrounds/picosdeeuropa_by_*.jpg", 2324, 932},
	{"wood", "/usr/share/backgrounds/aitzgorri_by_*.jpg", 2424, 1132},
	{"dogs", "/usr/share/backgrounds/friends_by_*.jpg", 1124, 1232},
	{"dragonfly", "/usr/share/backgrounds/Dragonfly_by_*.jpg", 2324, 1432},
	{"fig", "/usr/share/backgrounds/Picture_0B_by_*.jpg", 1524, 932},
	{"boats", "/usr/share/wallpapers/EveningGlow/contents/images/2560x1600.jpg", 824, 1132},
	{"moss", "/usr/share/wallpapers/OneStandsOut/contents/images/2560x1600.jpg", 1624, 932},
	{"leaf", "/usr/share/wallpapers/FallenLeaf/contents/images/2560x1600.jpg", 1824, 1032},
	{"pier", "/usr/share/wallpapers/ColdRipple/contents/images/2560x1600.jpg", 1224, 1132},
}

// fewest is the least number of wallpapers needed.
const fewest = 8

// choose returns the photographs of the option -pictures, or the wallpapers.
func choose(list string) ([]picture, error) {
	if list != "" {
		return listed(list)
	}
	var found []picture
	for _, p := range wallpapers {
		paths, err := filepath.Glob(p.path)
		if err != nil {
			return nil, err
		}
		if len(paths) == 0 {
			fmt.Fprintf(os.Stderr, "quality: left out, not on this machine: %s\n", p.path)
			continue
		}
		p.path = paths[0]
		found = append(found, p)
	}
	if len(found) < fewest {
		return nil, fmt.Errorf("only %d of Debian's photographs are on this machine, but %d are needed: install the packages that scripts/quality.sh names, or give your own with -pictures", len(found), fewest)
	}
	return found, nil
}

// listed returns the named files, and the files in the named folders.
func listed(list string) ([]picture, error) {
	var found []picture
	for path := range strings.SplitSeq(list, ",") {
		info, err := os.Stat(path)
		if err != nil {
			return nil, fmt.Errorf("-pictures: %w", err)
		}
		paths := []string{path}
		if info.IsDir() {
			if paths, err = filepath.Glob(filepath.Join(path, "*.*")); err != nil {
				return nil, err
			}
		}
		for _, p := range paths {
			kind := strings.ToLower(filepath.Ext(p))
			if !info.IsDir() || slices.Contains([]string{".jpg", ".jpeg", ".png", ".tif", ".tiff"}, kind) {
				found = append(found, picture{name: filepath.Base(p), path: p})
			}
		}
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("-pictures %s: there is no JPEG, PNG or TIFF", list)
	}
	return found, nil
}

// reference cuts width x height, or as much as there is, from the photograph reduced by 2.
// Both sides are multiples of unit.
func (p picture) reference(width, height, unit int) (*raster, error) {
	r, err := open(p.path)
	if err != nil {
		return nil, err
	}
	width, height = min(width, r.width/2)/unit*unit, min(height, r.height/2)/unit*unit
	if min(width, height) < leastSide {
		return nil, fmt.Errorf("%s is %d x %d px, too small to measure: at least %d px a side are needed", p.path, r.width, r.height, 2*(leastSide+unit))
	}
	if p.x == 0 && p.y == 0 {
		p.x, p.y = r.width/2, r.height/2
	}
	return reduce(r.crop(p.x, p.y, 2*width, 2*height), 2), nil
}

const leastSide = 192
