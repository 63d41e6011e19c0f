# What `cmake --install` puts where: library, header, pkg-config file, CMake package, the command,
# its manual page and its completion for bash.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

# Names that are the layers' own stay inside an archive too: the flags are for building only.
install(TARGETS trimwell EXPORT trimwell-targets
        ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}
        LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}
        PUBLIC_HEADER DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}
        INCLUDES DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})

# A static library needs its own libraries again when something is linked with it.
set(TW_PACKAGE_FOREIGN "")
set(TW_PC_REQUIRES "")
set(TW_PC_LIBS "")
get_target_property(TW_KIND trimwell TYPE)
if(TW_KIND STREQUAL STATIC_LIBRARY)
  set(TW_PACKAGE_FOREIGN "find_dependency(Threads)\nfind_dependency(ZLIB)\nfind_dependency(PNG)\nfind_dependency(JPEG)\nfind_dependency(TIFF)\nfind_dependency(PkgConfig)\npkg_check_modules(CJSON REQUIRED IMPORTED_TARGET libcjson)\npkg_check_modules(LCMS REQUIRED IMPORTED_TARGET lcms2)\n")
  set(TW_PC_REQUIRES "libpng libjpeg libtiff-4 zlib libcjson lcms2")
  if(ISAL_FOUND)
    string(APPEND TW_PACKAGE_FOREIGN "pkg_check_modules(ISAL REQUIRED IMPORTED_TARGET libisal)\n")
    string(APPEND TW_PC_REQUIRES " libisal")
  endif()
  set(TW_PC_LIBS "-lhpdf -lm -pthread")
endif()

file(WRITE ${PROJECT_BINARY_DIR}/trimwell-config.cmake.in "@PACKAGE_INIT@
include(CMakeFindDependencyMacro)
@TW_PACKAGE_FOREIGN@include(\${CMAKE_CURRENT_LIST_DIR}/trimwell-targets.cmake)
")
set(TW_PACKAGE_FOLDER ${CMAKE_INSTALL_LIBDIR}/cmake/trimwell)
configure_package_config_file(${PROJECT_BINARY_DIR}/trimwell-config.cmake.in
  ${PROJECT_BINARY_DIR}/trimwell-config.cmake INSTALL_DESTINATION ${TW_PACKAGE_FOLDER}
  NO_SET_AND_CHECK_MACRO NO_CHECK_REQUIRED_COMPONENTS_MACRO)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/trimwell-config-version.cmake
  COMPATIBILITY SameMinorVersion)
install(EXPORT trimwell-targets NAMESPACE trimwell:: DESTINATION ${TW_PACKAGE_FOLDER})
install(FILES ${PROJECT_BINARY_DIR}/trimwell-config.cmake
              ${PROJECT_BINARY_DIR}/trimwell-config-version.cmake
        DESTINATION ${TW_PACKAGE_FOLDER})

# The prefix is found from where the file lies, so that the folder can be moved as a whole.
file(RELATIVE_PATH TW_PC_UP /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
string(REGEX REPLACE "/$" "" TW_PC_UP ${TW_PC_UP})
file(WRITE ${PROJECT_BINARY_DIR}/trimwell.pc "prefix=\${pcfiledir}/${TW_PC_UP}
libdir=\${prefix}/${CMAKE_INSTALL_LIBDIR}
includedir=\${prefix}/${CMAKE_INSTALL_INCLUDEDIR}

Name: trimwell
Description: ${PROJECT_DESCRIPTION}
Version: ${PROJECT_VERSION}
Requires.private: ${TW_PC_REQUIRES}
Libs: -L\${libdir} -ltrimwell
Libs.private: ${TW_PC_LIBS}
Cflags: -I\${includedir}
")
install(FILES ${PROJECT_BINARY_DIR}/trimwell.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)

# The command prints its own manual page and completion, from the table its parser reads.
if(TARGET trimwell-command)
  # A shared library is found from where the command lies.
  file(RELATIVE_PATH TW_UP /${CMAKE_INSTALL_BINDIR} /${CMAKE_INSTALL_LIBDIR})
  set_target_properties(trimwell-command PROPERTIES INSTALL_RPATH "\$ORIGIN/${TW_UP}")
  install(TARGETS trimwell-command DESTINATION ${CMAKE_INSTALL_BINDIR})
  add_custom_command(OUTPUT ${PROJECT_BINARY_DIR}/trimwell.1
                            ${PROJECT_BINARY_DIR}/trimwell.bash
    COMMAND trimwell-command help --man > ${PROJECT_BINARY_DIR}/trimwell.1
    COMMAND trimwell-command help --completion > ${PROJECT_BINARY_DIR}/trimwell.bash
    DEPENDS trimwell-command)
  add_custom_target(trimwell-manual ALL DEPENDS ${PROJECT_BINARY_DIR}/trimwell.1)
  install(FILES ${PROJECT_BINARY_DIR}/trimwell.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
  install(FILES ${PROJECT_BINARY_DIR}/trimwell.bash RENAME trimwell
          DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
endif()
